"""From the photos of a kit, graded and matched, to the study's figures."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from grader.card.imprint import months_later
from grader.card.model import FoundSheet
from grader.card_values import CardValues
from grader.colour import ciede2000
from grader.errors import GraderError
from grader.fries.model import Fry, Measured, Plate
from grader.trueness.agreement import Agreement, agreement_of
from grader.trueness.components import TooFewReadingsError
from grader.trueness.effects import effects_of
from grader.trueness.matching import Matched, match_places, middles_mm
from grader.trueness.model import COLOURS, LENGTHS, Compared, Kit, Piece, PlannedPhoto, Quantity
from grader.trueness.study import FORMAT_VERSION, ColourDistance, Study, Tally

_FAR_MM, _FAR_DE = 12.0, 18.0
"""So far off no reading of the piece itself is; where most of a photo's pieces are, it was not laid as the worksheet
says. Wide on purpose: a bias of the method must not be taken for a mistake in laying."""


class LaidOtherwiseError(GraderError, ValueError):
    """The pieces of a photo can't be those that the worksheet names."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenPhoto:
    """One photo of the kit compared; `unclear` says why where its pieces could not be told apart."""

    planned: PlannedPhoto
    sha256: str
    compared: tuple[Compared, ...]
    met: int
    not_met: tuple[str, ...]
    without_value: int
    strangers: int
    unclear: GraderError | None = None


def compare_photo(
    planned: PlannedPhoto, pieces: Sequence[Piece], plate: Plate, sheet: FoundSheet, *, height_mm: float, sha256: str
) -> SeenPhoto:
    """Match the pieces found in one photo with the worksheet and compare each with what is known of it.

    Parameters
    ----------
    planned, pieces
        What was laid where, and what is known of the pieces.
    plate, sheet
        As the grader found them.
    height_mm
        How high the pieces lie over the sheet.
    sha256
        Of the photo's bytes.
    """
    try:
        matched = match_places(middles_mm(plate, sheet, height_mm=height_mm), planned.laid)
        compared = tuple(_compared(planned, pieces, plate, matched))
        _check_laid(planned, compared)
    except GraderError as error:
        names = tuple(name for there in planned.laid for name in there.pieces)
        return SeenPhoto(
            planned=planned,
            sha256=sha256,
            compared=(),
            met=0,
            not_met=names,
            without_value=0,
            strangers=0,
            unclear=error,
        )
    with_value = {one.piece for one in compared}
    return SeenPhoto(
        planned=planned,
        sha256=sha256,
        compared=compared,
        met=len(matched.met),
        not_met=matched.not_met,
        without_value=sum(one.piece not in with_value for one in matched.met),
        strangers=matched.strangers,
    )


def read_of(fry: Fry, quantity: Quantity) -> Measured | None:
    """What the grader read of one quantity, None where it gave nothing."""
    match quantity:
        case "length_mm":
            return fry.length_mm
        case "width_mm":
            return fry.width_mm
    if fry.colour is None:
        return None
    channel = COLOURS.index(quantity)
    return Measured(value=float(fry.colour.lab[channel]), u=float(fry.colour.u[channel]))


def _compared(planned: PlannedPhoto, pieces: Sequence[Piece], plate: Plate, matched: Matched) -> Iterator[Compared]:
    by_name = {piece.name: piece for piece in pieces}
    for met in matched.met:
        for quantity in LENGTHS if planned.kind == "bar" else COLOURS:
            read, known = read_of(plate.fries[met.found], quantity), by_name[met.piece].known(quantity)
            if read is not None and known is not None:
                yield Compared(
                    piece=met.piece,
                    photo=planned.name,
                    light=planned.light,
                    place=met.place,
                    raised_mm=planned.raised_mm,
                    quantity=quantity,
                    read=read,
                    known=known,
                )


def _check_laid(planned: PlannedPhoto, compared: Sequence[Compared]) -> None:
    if planned.kind == "bar":
        far = [abs(one.difference) > _FAR_MM for one in compared if one.quantity == "length_mm"]
    else:
        far = [bool(distance > _FAR_DE) for distance in _distances(compared)]
    if far and sum(far) > len(far) / 2:
        raise LaidOtherwiseError(
            f"Most pieces of {planned.name} are not those that the worksheet names.",
            hint="Lay them as the worksheet says, the card upright as seen by who lays them, and take the photo again; "
            "or correct the worksheet, if they lay otherwise.",
        )


def _distances(compared: Sequence[Compared]) -> list[float]:
    """CIE 2000 distance of each piece in each photo whose three channels were read."""
    by_laying: dict[tuple[str, str], dict[Quantity, Compared]] = {}
    for one in compared:
        by_laying.setdefault((one.photo, one.piece), {})[one.quantity] = one
    read = [[laying[channel].read.value for channel in COLOURS] for laying in by_laying.values() if "L" in laying]
    known = [[laying[channel].known.value for channel in COLOURS] for laying in by_laying.values() if "L" in laying]
    return [float(distance) for distance in ciede2000(read, known)] if read else []


def make_study(
    kit: Kit,
    seen: Sequence[SeenPhoto],
    *,
    values: CardValues,
    made_on: date,
    method_version: str,
) -> Study:
    """The study of a kit from its photos; those that were refused are not among `seen`.

    Parameters
    ----------
    kit, seen
        What was planned and measured, and what was seen of it.
    values
        The colours of the card that all photos were graded with.
    made_on, method_version
        As they go into the study.

    Raises
    ------
    TooFewReadingsError
        Nothing was read often enough to say anything of it.
    """
    compared = [one for photo in seen for one in photo.compared]
    agreements = tuple(_agreements(compared, kit.lights))
    if not agreements:
        raise TooFewReadingsError(
            "No length and no colour was read often enough for a study.",
            hint="Take the photos that are missing or were refused, and try again.",
        )
    return Study(
        format_version=FORMAT_VERSION,
        made_on=made_on,
        expires_on=months_later(made_on, kit.counts_months),
        by=kit.by,
        sheet=kit.sheet,
        print_run=kit.print_run,
        method_version=method_version,
        card_method=values.method,
        card_measured_on=values.measured_on,
        lights=kit.lights,
        length_reference=kit.length_reference,
        colour_reference=kit.colour_reference,
        limits=kit.accepted,
        tally=_tally(kit, seen),
        agreements=agreements,
        distances=tuple(_colour_distances(compared, kit.lights)),
        effects=tuple(
            effect
            for quantity in (*LENGTHS, *COLOURS)
            if (own := _of(compared, quantity))
            for effect in effects_of(own)
        ),
        photos_sha256=tuple(photo.sha256 for photo in seen),
    )


def _of(compared: Sequence[Compared], quantity: Quantity) -> list[Compared]:
    return [one for one in compared if one.quantity == quantity]


def _agreements(compared: Sequence[Compared], lights: Sequence[str]) -> Iterator[Agreement]:
    for quantity in (*LENGTHS, *COLOURS):
        own = _of(compared, quantity)
        for light in (None, *lights):
            if len({one.photo for one in own if light is None or one.light == light}) < 2:
                continue  # one photo can't tell its own error from a bias
            try:
                yield agreement_of(own, light=light)
            except TooFewReadingsError:
                continue


def _colour_distances(compared: Sequence[Compared], lights: Sequence[str]) -> Iterator[ColourDistance]:
    for light in (None, *lights):
        distances = _distances([one for one in compared if light is None or one.light == light])
        if distances:
            median, high = np.percentile(distances, [50, 95])
            yield ColourDistance(light=light, readings=len(distances), median_de=float(median), high_de=float(high))


def _tally(kit: Kit, seen: Sequence[SeenPhoto]) -> Tally:
    clear = [photo for photo in seen if photo.unclear is None]
    return Tally(
        photos=len(kit.photos),
        photos_refused=len(kit.photos) - len(seen),
        photos_unclear=len(seen) - len(clear),
        laid=sum(photo.met + len(photo.not_met) for photo in clear),
        met=sum(photo.met for photo in clear),
        not_met=sum(len(photo.not_met) for photo in clear),
        without_value=sum(photo.without_value for photo in clear),
        strangers=sum(photo.strangers for photo in clear),
    )
