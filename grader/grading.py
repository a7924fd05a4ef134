"""The one pipeline: the bytes of a photo in, a judged plate out.

Every step is a room's; this page only strings them together.
"""

import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from grader.arrays import FloatArray
from grader.card import check_readings, find_sheets, load_layouts, read_patches, tag_squares_px
from grader.card.model import FoundSheet, SheetReadings
from grader.card.plane import pixels_to_sheet
from grader.card.serial import Serial
from grader.card_values import (
    CardValues,
    IdentifiedCard,
    KnownValues,
    as_of,
    disowned,
    fit_by_design,
    identify_card,
    sheet_samples,
)
from grader.colour import SheetColour, SheetSamples, expected_error, fit_sheet_colour, light_at, shared_budget
from grader.colour.gates import fry_findings, gravest_first, refuse_hopeless, sheet_findings
from grader.decision import USUAL, Terms, judge_batch, judge_plate
from grader.decision.model import Verdict
from grader.errors import CardUnusable, Finding, PhotoRefused
from grader.freed_memory import give_back
from grader.fries import Fry, Laid, Plate, bare_spots, find_fries
from grader.fries.mends import Mend
from grader.photo import (
    Photo,
    check_fries_exposure,
    check_sharpness,
    check_sheet_exposure,
    check_without_card,
    exposure,
    find_flash,
    read_photo,
)
from grader.reasons import Reason, of_card, of_plate, told
from grader.standard.model import Standard
from grader.trueness import Standing, Study, newest_for, standing_of, weakest

METHOD_VERSION = "4"

_EVERY_PX = 2
"""A quarter of their pixels says as much of how fries are exposed, and no fry is so small that none is left."""

Progress = Callable[[float, str], None]
"""Called with the share done (0 to 1) and what is being done, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourQuality:
    """How well the card's patches could be matched: leave-one-out CIE 2000 error, median and 95th percentile.

    `shared_lab_u` says what all fries share of their doubt: by cause, the (3,) CIELAB standard uncertainty of the
    plate's mean colour; empty where no fry has a colour.
    """

    expected_de: float
    expected_de_95: float
    patches_used: int
    patches_left_out: int
    light_fall_off: float
    shared_lab_u: Mapping[str, FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mending:
    """What a person changed about a plate, in order; plate and verdict as they were before; what was dropped."""

    mends: tuple[Mend, ...]
    plate: Plate
    verdict: Verdict | None
    dropped: tuple[Fry, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GradedPhoto:
    """One photo graded, or refused.

    Where it was refused `reasons` says why, and `plate`, `sheet`, `colour_quality` and `verdict` are None. `serial` is
    that of its card, None where it has none or it can't be read; `values` are those of its print run, in which the
    sheet's layout then is, None where none are known or they turned out to be another card's. `standing` is what the
    result may claim; None where there is no result. `colour` is what the sheet told of the photo's colours. Where a
    person mended the plate, `plate` and `verdict` are the mended ones and `mending` has those before; else it is None.
    """

    name: str
    sha256: str
    method_version: str
    photo: Photo | None
    sheet: FoundSheet | None
    colour_quality: ColourQuality | None
    plate: Plate | None
    verdict: Verdict | None
    reasons: tuple[Reason, ...]
    serial: Serial | None = None
    values: CardValues | None = None
    standing: Standing | None = None
    colour: SheetColour | None = None
    mending: Mending | None = None

    @property
    def refused(self) -> bool:
        """The photo could not be judged."""
        return self.plate is None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GradedBatch:
    """Several photos of one batch, and the verdict over all that could be judged (None where none could)."""

    photos: tuple[GradedPhoto, ...]
    standard: Standard
    verdict: Verdict | None

    @property
    def standing(self) -> Standing | None:
        """What the verdict may claim: no more than the weakest of its photos."""
        return weakest(photo.standing for photo in self.photos)


def grade_photo(
    data: bytes,
    *,
    name: str,
    standard: Standard,
    known: KnownValues | None = None,
    studies: Sequence[Study] = (),
    progress: Progress | None = None,
) -> GradedPhoto:
    """Grade one photo; a photo that can't be judged comes back refused with its reasons, never as an exception.

    Parameters
    ----------
    data
        The bytes of the photo's file.
    name
        As its sender calls it; shown to people, never opened.
    standard
        What the fries are held against.
    known
        The values of the house's print runs, and today; None takes every card as designed.
    studies
        The house's trueness studies: what the result may claim follows from them and from the card's values.
    progress
        Called as the work goes on.
    """
    tell = progress or _quiet
    photo = None
    give_back()
    try:
        tell(0.0, "reading the photo")
        photo = read_photo(data, name=name)
        return _grade(photo, standard, known and as_of(known, photo.taken_at), studies, tell)
    except PhotoRefused as refusal:
        return _refused(name, hashlib.sha256(data).hexdigest(), photo, refusal)


def grade_batch(
    photos: Sequence[tuple[str, bytes]],
    *,
    standard: Standard,
    known: KnownValues | None = None,
    studies: Sequence[Study] = (),
    progress: Progress | None = None,
) -> GradedBatch:
    """Grade several photos of one batch together; one bad photo never stops the rest.

    Parameters
    ----------
    photos
        Name and bytes of each.
    standard, known, studies, progress
        As for `grade_photo`.
    """
    tell = progress or _quiet
    graded = []
    for done, (name, data) in enumerate(photos):

        def within(share: float, what: str, done: int = done, name: str = name) -> None:
            tell((done + share) / len(photos), f"{name}: {what}")

        graded.append(grade_photo(data, name=name, standard=standard, known=known, studies=studies, progress=within))
    tell(1.0, "judging the batch")
    return GradedBatch(photos=tuple(graded), standard=standard, verdict=judge_photos(graded, standard))


def judge_photos(photos: Sequence[GradedPhoto], standard: Standard, terms: Terms = USUAL) -> Verdict | None:
    """The verdict over all photos of a batch that could be judged; None where none could."""
    plates = plates_of(photos)
    return judge_batch(plates, standard, terms) if plates else None


def plates_of(photos: Iterable[GradedPhoto]) -> list[Sequence[Fry]]:
    """The fries of each plate of a batch that could be judged.

    A photo given twice is one plate and counts once: twice, it would make a verdict look surer than it is.
    """
    once = {photo.sha256: photo.plate for photo in photos if photo.plate is not None}
    return [plate.fries for plate in once.values()]


def _grade(
    photo: Photo, standard: Standard, known: KnownValues | None, studies: Sequence[Study], tell: Progress
) -> GradedPhoto:
    tell(0.1, "looking for the card")
    card = identify_card(photo.pixels, _find_sheet(photo), known)
    tell(0.25, "reading the card's colours")
    card, readings, samples, colour = _read_colours(photo, card)
    sheet = card.sheet
    numbers = tuple(patch.number for patch in sheet.layout.patches)
    found = sheet_findings(samples, colour, numbers=numbers, measured=card.measured)
    refuse_hopeless(found)
    tell(0.4, "finding and measuring the fries")
    plate = find_fries(photo.pixels, sheet, samples, colour, laid_by(standard))
    if plate.fries:
        every = np.s_[::_EVERY_PX, ::_EVERY_PX]
        check_fries_exposure(exposure(photo.pixels[every][plate.labels[every] > 0]))
    found = gravest_first([*found, *_at_fries(photo, sheet, samples, colour, plate), find_flash(photo)])
    refuse_hopeless(found)
    tell(0.95, "judging")
    return GradedPhoto(
        name=photo.name,
        sha256=photo.sha256,
        method_version=METHOD_VERSION,
        photo=photo,
        sheet=sheet,
        colour_quality=_colour_quality(colour, readings, plate),
        plate=plate,
        verdict=judge_plate(plate.fries, standard),
        reasons=tuple(sorted(told(found) + of_card(card) + of_plate(sheet, plate), key=lambda one: one.quiet)),
        serial=card.serial,
        values=card.values,
        standing=_standing(card, studies, known),
        colour=colour,
    )


def read_card(photo: Photo, known: KnownValues | None) -> tuple[IdentifiedCard, SheetSamples, SheetColour]:
    """The card of a photo, whatever else is in it: which it is, what was read of it, what corrects it.

    Raises
    ------
    PhotoRefused
        There is no card, or too little of it can be read.
    """
    card = identify_card(photo.pixels, _find_sheet(photo), known and as_of(known, photo.taken_at))
    card, _, samples, colour = _read_colours(photo, card)
    return card, samples, colour


def laid_by(standard: Standard) -> Laid:
    """What a house standard says of the fries on a plate."""
    return Laid(
        cut_width_mm=standard.cut.width_mm,
        plate_height_mm=standard.plate_height_above_card_mm,
        matt=standard.surface == "matt",
    )


def _find_sheet(photo: Photo) -> FoundSheet:
    """The card; where none can be made out, a photo too dark, too bright or too blurred to show one is told apart."""
    try:
        sheets = find_sheets(photo.pixels, load_layouts(), focal_35mm=photo.focal_35mm)
    except CardUnusable as refusal:
        if refusal.code == "card_not_found":
            check_without_card(photo.pixels)
        raise
    if len(sheets) > 1:
        raise CardUnusable(
            f"There are two sheets of the kind {sheets[0].layout.name} in this photo; which one counts can't be told.",
            hint="Take one of them away and photograph again; to see whether a card has faded, use card-drift.",
            code="card_twice",
        )
    return sheets[0]


def _read_colours(
    photo: Photo, card: IdentifiedCard
) -> tuple[IdentifiedCard, SheetReadings, SheetSamples, SheetColour]:
    """The card's patches and what corrects them; the card without its values where they prove to be another card's."""
    sheet = card.sheet
    readings = read_patches(photo.pixels, sheet)
    check_sheet_exposure(readings.patch_rgb, readings.patch_clipped, paper_clipped=readings.paper_clipped)
    check_readings(sheet, readings)
    check_sharpness(photo.pixels, tag_squares_px(sheet), square_mm=sheet.layout.tag_size_mm)
    samples = sheet_samples(sheet.layout, readings, card.values)
    colour = fit_sheet_colour(samples)
    if card.measured and fit_by_design(samples, colour, card.designed).mismatch:
        return _read_colours(photo, disowned(card))
    return card, readings, samples, colour


def _at_fries(
    photo: Photo, sheet: FoundSheet, samples: SheetSamples, colour: SheetColour, plate: Plate
) -> tuple[Finding, ...]:
    coloured = [(fry.centreline_px.mean(axis=0), fry.colour.lab) for fry in plate.fries if fry.colour is not None]
    places_px = np.array([place for place, _ in coloured]).reshape(-1, 2)
    return fry_findings(
        samples,
        colour,
        bare_spots(photo.pixels, sheet, plate.lying),
        on_field=sheet.layout.field is not None,
        fry_xy_mm=pixels_to_sheet(sheet, places_px),
        fry_lab=np.array([lab for _, lab in coloured]).reshape(-1, 3),
    )


def _colour_quality(colour: SheetColour, readings: SheetReadings, plate: Plate) -> ColourQuality:
    median, high = expected_error(colour.correction)
    factor, _ = light_at(colour.light, readings.ground_xy_mm)
    used = int(readings.patch_usable.sum())
    shared = [fry.colour.shared for fry in plate.fries if fry.colour is not None]
    return ColourQuality(
        expected_de=median,
        expected_de_95=high,
        patches_used=used,
        patches_left_out=len(readings.patch_usable) - used,
        light_fall_off=float(factor.max() / factor.min() - 1),
        shared_lab_u=shared_budget(np.array(shared)) if shared else {},
    )


def _standing(card: IdentifiedCard, studies: Sequence[Study], known: KnownValues | None) -> Standing:
    """What is known of a card lifts its results; without a day (nobody asked the house) nothing is known of it."""
    if known is None or card.values is None:
        return standing_of(None, None, date.min, METHOD_VERSION)
    study = newest_for(studies, sheet=card.values.layout, print_run=card.values.run, on=known.on)
    return standing_of(card.values, study, known.on, METHOD_VERSION)


def _refused(name: str, sha256: str, photo: Photo | None, refusal: PhotoRefused) -> GradedPhoto:
    return GradedPhoto(
        name=name,
        sha256=sha256,
        method_version=METHOD_VERSION,
        photo=photo,
        sheet=None,
        colour_quality=None,
        plate=None,
        verdict=None,
        reasons=(Reason(code=refusal.code, message=refusal.message, hint=refusal.hint), *told(refusal.others)),
    )


def _quiet(_share: float, _what: str) -> None:
    """Nobody wants to know."""
