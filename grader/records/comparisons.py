"""Plates of runs, put to what compares them: grouped, spread, paired; and results ready for JSON."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path, PurePath
from typing import Literal, get_args

import numpy as np

from grader.consistency.capability import Capability, SpreadPlate
from grader.consistency.comparing import Comparison, GroupedPlate
from grader.consistency.quantities import QUANTITIES, QuantityKey
from grader.consistency.two_kitchens import Agreed, PairedPlate
from grader.counted import first_of
from grader.errors import DocumentFaulty, GraderError
from grader.records.json_values import Json, number
from grader.records.plate_readings import PlateMean, PlateReadings
from grader.standard.model import Standard
from grader.trueness.tables import Noted, read_table

By = Literal["run", "kitchen", "station", "fryer", "shift", "lot", "supplier"]


class PlatesLackError(GraderError, ValueError):
    """Plates lack what a comparison asks of them."""


class RangeUnknownError(GraderError, ValueError):
    """There is no range to hold fries against."""


def grouped(
    plates: Sequence[PlateReadings], *, by: By, quantity: QuantityKey, within_lots: bool = False
) -> list[GroupedPlate]:
    """Plates by what they are compared by; lots must be known where they are to be taken out.

    Raises
    ------
    PlatesLackError
        Nobody said which group or lot a batch is of, or a plate lacks the quantity.
    """
    group = _group_by(by)
    _check_said(plates, group, by)
    if within_lots:
        _check_said(plates, _lot, "lot")
    means = _means(plates, quantity)
    return [
        GroupedPlate(
            group=group(plate),
            batch=plate.batch_key,
            value=mean.mean,
            fries_u=0.0 if mean.sd is None else mean.sd / float(np.sqrt(mean.fries)),
            lot=_lot(plate),
        )
        for plate, mean in zip(plates, means, strict=True)
    ]


def check_groups(plates: Sequence[PlateReadings], *, by: By) -> None:
    """Refuse plates that are of one group, if they are of several by something else.

    Raises
    ------
    PlatesLackError
        With what they differ by.
    """
    if _groups(plates, by) > 1:
        return
    others = [other for other in get_args(By) if _groups(plates, other) > 1]
    if others:
        differ = "; ".join(f"{other} ({_groups(plates, other)})" for other in others)
        raise PlatesLackError(
            f"There is nothing to compare: all plates are of one {by}.",
            hint=f"Say --by and what they differ by: {differ}.",
        )


def _groups(plates: Sequence[PlateReadings], by: By) -> int:
    """Into how many groups plates fall; those of which nobody said it are of none."""
    return len({_group_by(by)(plate) for plate in plates} - {""})


def _group_by(by: By) -> Callable[[PlateReadings], str]:
    return (lambda plate: plate.run) if by == "run" else (lambda plate: plate.about.get(by, ""))


def lots_words(plates: Sequence[GroupedPlate]) -> str | None:
    """Which lots each group had, where that may be why they differ; None where all had the same, or nobody knows."""
    lots: dict[str, set[str]] = {}
    for plate in plates:
        lots.setdefault(plate.group, set()).add(plate.lot or "?")
    if len({frozenset(of) for of in lots.values()}) == 1:
        return None
    told = "; ".join(f"{group}: {', '.join(sorted(of))}" for group, of in lots.items())
    return f"not all had the same lots ({told}): what lots differ by is in this, unless --within-lots takes it out"


def _lot(plate: PlateReadings) -> str:
    return plate.about.get("lot", "")


def _check_said(plates: Sequence[PlateReadings], of: Callable[[PlateReadings], str], what: str) -> None:
    lacking = sorted({plate.batch_key for plate in plates if not of(plate)})
    if lacking:
        raise PlatesLackError(
            f"Nobody said which {what} these batches are of: {first_of(lacking)}.",
            hint=f"Give --about a CSV table with the columns batch and {what}, a line for each batch.",
        )


Range = tuple[float | None, float | None]
"""From and to; None on a side that has no limit."""


def spread(
    plates: Sequence[PlateReadings], *, quantity: QuantityKey, standard: Standard, within: Range
) -> list[SpreadPlate]:
    """Plates with how their fries scatter; those of fewer than two fries tell nothing and are left out.

    Fries were counted outside the standard's target: of a range `within` which is another, nobody counted.

    Raises
    ------
    PlatesLackError
        A plate lacks the quantity.
    """
    means = _means(plates, quantity)
    counted = quantity == "place" and within == _target(standard)
    return [
        SpreadPlate(
            batch=plate.batch_key,
            mean=mean.mean,
            sd=mean.sd,
            fries=mean.fries,
            outside=plate.outside if counted else None,
        )
        for plate, mean in zip(plates, means, strict=True)
        if mean.sd is not None
    ]


def paired(
    first: Sequence[PlateReadings],
    second: Sequence[PlateReadings],
    *,
    quantity: QuantityKey,
    pairs: Mapping[str, str] | None = None,
) -> list[PairedPlate]:
    """Plates that two kitchens measured: by the names of their photos, or by `pairs` from the first's to the second's.

    Raises
    ------
    PlatesLackError
        No photo has its like, a pair names one that isn't there or one of several, or a plate lacks the quantity.
    """
    theirs = {plate.sha256 for plate in second}
    same = [plate.photo for plate in first if plate.sha256 in theirs]
    if same:
        raise PlatesLackError(
            f"Both have the same photos: {first_of(same)}.",
            hint="Each kitchen must take photos of its own of each plate.",
        )
    here = {PurePath(plate.photo).stem: plate for plate in first}
    there = {PurePath(plate.photo).stem: plate for plate in second}
    if pairs is None:
        pairs = {name: name for name in here if name in there}
    else:
        pairs = {PurePath(one).stem: PurePath(other).stem for one, other in pairs.items()}
    missing = [one for one in pairs if one not in here] + [other for other in pairs.values() if other not in there]
    if missing or not pairs:
        what = (
            f"These photos are not among the results: {first_of(missing)}." if missing else "No two photos are paired."
        )
        raise PlatesLackError(
            what,
            hint="Name the photos of a plate alike in both kitchens, or give --pairs a CSV table with the columns "
            "first and second.",
        )
    several = sorted(_several(first) & set(pairs) | _several(second) & set(pairs.values()))
    if several:
        raise PlatesLackError(
            f"More than one photo of a kitchen has this name: {first_of(several)}.",
            hint="Give each photo a name of its own and grade them again: which plate is meant can't be told.",
        )
    both = [
        (name, _means([here[name]], quantity)[0], _means([there[other]], quantity)[0]) for name, other in pairs.items()
    ]
    return [
        PairedPlate(
            plate=name,
            first=one.mean,
            first_u=one.measured_u,
            second=other.mean,
            second_u=other.measured_u,
        )
        for name, one, other in both
    ]


def _several(plates: Sequence[PlateReadings]) -> set[str]:
    """The names that more than one photo has, in other batches or with other endings."""
    names = Counter(PurePath(plate.photo).stem for plate in plates)
    return {name for name, count in names.items() if count > 1}


def read_pairs(path: Path) -> dict[str, str]:
    """Which photos of two kitchens show one plate, from a CSV table with the columns first and second.

    Raises
    ------
    DocumentFaulty
        With every fault of the table.
    OSError
        It can't be read.
    """
    noted, pairs = Noted(), dict[str, str]()
    for row in read_table(path, ("first", "second"), noted):
        one, other = row.needed("first"), row.needed("second")
        if one in pairs or other in pairs.values():
            row.fault("first", f'"{one}" or "{other}" is there twice')
        pairs[one] = other
    if noted.faults:
        raise DocumentFaulty(str(path), tuple(noted.faults), hint="Correct the table: each photo stands in one pair.")
    return pairs


def asked_range(standard: Standard, quantity: QuantityKey, low: float | None, high: float | None) -> Range:
    """The range that fries are held against: as given, or for the place the standard's target.

    Raises
    ------
    RangeUnknownError
        None is given and the standard has none for the quantity, or its lower end lies above its upper one.
    """
    if low is None and high is None and quantity == "place":
        low, high = _target(standard)
    if low is None and high is None:
        raise RangeUnknownError(
            f"The house standard has no range for {QUANTITIES[quantity].title}.", hint="Give --low, --high or both."
        )
    if low is not None and high is not None and low >= high:
        raise RangeUnknownError(f"A range from {low:g} to {high:g} holds nothing.", hint="Give --low below --high.")
    return low, high


def _target(standard: Standard) -> Range:
    """A target from 0 on means however pale, so there it has no lower end."""
    return standard.scale.pale_end, standard.scale.target_to


def _means(plates: Sequence[PlateReadings], quantity: QuantityKey) -> list[PlateMean]:
    lacking = [plate.photo for plate in plates if quantity not in plate.means]
    if lacking:
        raise PlatesLackError(
            f"On these plates no fry has a {QUANTITIES[quantity].title.lower()}: {first_of(lacking)}.",
            hint="Leave their photos out, or compare another quantity (the records hold places and lengths only).",
        )
    return [plate.means[quantity] for plate in plates]


def result_record(found: Comparison | Capability | Agreed) -> Json:
    """A result ready for JSON: its own fields, numbers rounded, no nan."""
    return {key: _plain(one) for key, one in asdict(found).items()}


def _plain(value: object) -> object:
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(one) for one in value]
    return number(value) if isinstance(value, float) else value
