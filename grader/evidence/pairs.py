"""Turn and shoot: one plate photographed twice, so that it carries its own uncertainty.

The mat with its fries turned by 180 degrees: the light's slope over the plate, and the lens's, change sides, so that
the mean of both photos is free of them, and half of their difference says how large they were. The fries flipped, tray
over tray: the side that nobody saw is measured too. What both photos share, the card's own colours above all, cancels
in the difference and is not told by it.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.optimize import linear_sum_assignment

from grader.arrays import FloatArray
from grader.card.plane import pixels_to_sheet
from grader.consistency.gauge.plate_values import plate_values
from grader.consistency.quantities import QUANTITIES, QuantityKey
from grader.decision import length_as_meant
from grader.evidence.chain import Entry
from grader.evidence.errors import EvidenceRefused
from grader.evidence.journal import Journal
from grader.fries.model import Fry, Measured
from grader.grading import GradedPhoto
from grader.standard.model import Standard

Way = Literal["turned", "flipped"]
APART_AT_MOST_MM = 10.0
"""A fry of a turned mat lies where it lay, give or take what it slid (house default, no source)."""
ALIKE_AT_MOST_MM = 5.0
"""A flipped fry reads as long as before, give or take what it bends (house default, no source)."""
FOUND_AT_LEAST = 0.5
"""Share of a plate's fries that must be found again, of the photo that shows more.

Of the rendered plates in tests/plates and sample_images, turned by half a turn, 0.78 to 1 are found where they lay (the
least in the heap), and of two different plates at most 0.33. Plates whose fries were flipped aren't rendered: by their
lengths alone two plates of one cut may pass, and only those of quite other lengths don't.
"""
_MATCHED_AT_LEAST = 5
_PAIR = "pair of photos of one plate"


@dataclass(frozen=True, slots=True, kw_only=True)
class PairReading:
    """One quantity of a plate from both photos: plate means, and what their difference says.

    Attributes
    ----------
    first, second, mean
        Plate means of either photo, and of both.
    u
        Standard uncertainty of `mean` that this pair tells: half of the difference, with one degree of freedom.
    """

    quantity: QuantityKey
    first: float
    second: float

    @property
    def mean(self) -> float:
        """Of both photos."""
        return (self.first + self.second) / 2

    @property
    def difference(self) -> float:
        """The second less the first."""
        return self.second - self.first

    @property
    def u(self) -> float:
        """Two readings: the standard deviation of their mean is half of what they differ by."""
        return abs(self.difference) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class FryAgreement:
    """How lengths of the same fries in both photos agree: how many, mean difference, scatter of one reading, stated.

    `sd` is that of a single reading (of the differences by the root of two); `stated_u` what the method states for it,
    without what both photos share.
    """

    fries: int
    bias_mm: float
    sd_mm: float
    stated_u_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """What two photos of one plate tell; `lengths` only where its fries could be found again."""

    way: Way
    readings: tuple[PairReading, ...]
    lengths: FryAgreement | None


def read_pair(first: GradedPhoto, second: GradedPhoto, standard: Standard, *, way: Way) -> Pair:
    """Two photos of one plate.

    Raises
    ------
    EvidenceRefused
        It is one photo twice, one of them couldn't be judged, or they show other sheets, or other fries.
    """
    if first.sha256 == second.sha256:
        raise EvidenceRefused("This is the same photo twice.", hint="Turn the plate and photograph it again.")
    if first.plate is None or second.plate is None or first.sheet is None or second.sheet is None:
        refused = first if first.plate is None else second
        why = refused.reasons[0].message if refused.reasons else ""
        raise EvidenceRefused(f"{refused.name} could not be judged. {why}".strip(), hint="Photograph the pair again.")
    if (first.sheet.layout.key, str(first.serial)) != (second.sheet.layout.key, str(second.serial)):
        raise EvidenceRefused("The two photos show different cards.", hint="Photograph both beside the same one.")
    _check_one_plate(first, second, standard, way)
    here, there = plate_values(first.plate.fries, standard), plate_values(second.plate.fries, standard)
    both = [key for key in QUANTITIES if key in here and key in there]
    readings = tuple(PairReading(quantity=key, first=here[key], second=there[key]) for key in both)
    found = _lengths(first, second, standard) if way == "turned" else None
    return Pair(way=way, readings=readings, lengths=found)


def _check_one_plate(first: GradedPhoto, second: GradedPhoto, standard: Standard, way: Way) -> None:
    """A pair takes a plate out of the count: refuse two whose fries are plainly others."""
    found, most = _found_again(first, second, standard, way)
    if found >= FOUND_AT_LEAST * most:
        return
    if way == "turned":
        told = f"Only {found} of {most} fries lie where they lay: this can't be one plate that was turned."
        hint = "Turn the mat with all that lies on it, the card too. Where fries were flipped: --way flipped."
        raise EvidenceRefused(told, hint=hint)
    told = f"Only {found} of {most} fries have one as long: this can't be one plate whose fries were flipped."
    raise EvidenceRefused(told, hint="Name two photos of one plate.")


def _found_again(first: GradedPhoto, second: GradedPhoto, standard: Standard, way: Way) -> tuple[int, int]:
    """How many fries, of how many: by where they lie on a turned mat; flipped, by their lengths, where these tell."""
    if way == "turned":
        here, there = _middles(first, _fries(first)), _middles(second, _fries(second))
        found = len(_near(_apart(here, there), APART_AT_MOST_MM))
    else:
        here, there = (np.array([one.value for _, one in _measured(side, standard)]) for side in (first, second))
        if min(len(here), len(there)) < _MATCHED_AT_LEAST:
            return 0, 0  # as in a heap
        found = len(_near(np.abs(here[:, None] - there), ALIKE_AT_MOST_MM))
    return found, max(len(here), len(there))


def _lengths(first: GradedPhoto, second: GradedPhoto, standard: Standard) -> FryAgreement | None:
    """Of fries that lie where they lay, in the sheet's own coordinates: a mat turns with what lies on it."""
    here, there = _measured(first, standard), _measured(second, standard)
    apart = _apart(_middles(first, [fry for fry, _ in here]), _middles(second, [fry for fry, _ in there]))
    near = _near(apart, APART_AT_MOST_MM)
    if len(near) < _MATCHED_AT_LEAST:
        return None
    pairs = [(here[r][1], there[c][1]) for r, c in near]
    differences = np.array([b.value - a.value for a, b in pairs])
    stated = np.array([(a.own_u**2 + b.own_u**2) / 2 for a, b in pairs])
    return FryAgreement(
        fries=len(pairs),
        bias_mm=float(differences.mean()),
        sd_mm=float(differences.std(ddof=1) / np.sqrt(2)),
        stated_u_mm=float(np.sqrt(stated.mean())),
    )


def _near(apart: FloatArray, at_most: float) -> list[tuple[int, int]]:
    """One fry of either photo each, no two further apart than that, as many and as near as they can be."""
    rows, columns = linear_sum_assignment(np.minimum(apart, 2 * at_most))
    return [(r, c) for r, c in zip(rows.tolist(), columns.tolist(), strict=True) if apart[r, c] <= at_most]


def _apart(here: FloatArray, there: FloatArray) -> FloatArray:
    """How far each place lies from each other, mm."""
    apart: FloatArray = np.linalg.norm(here[:, None] - there, axis=2)
    return apart


def _fries(graded: GradedPhoto) -> Sequence[Fry]:
    return () if graded.plate is None else graded.plate.fries


def _measured(graded: GradedPhoto, standard: Standard) -> list[tuple[Fry, Measured]]:
    """Each fry that has a length, and that."""
    return [(fry, length) for fry in _fries(graded) if (length := length_as_meant(fry, standard)) is not None]


def _middles(graded: GradedPhoto, fries: Sequence[Fry]) -> FloatArray:
    """Where each of these fries lies on the sheet, mm."""
    if not fries or graded.sheet is None:
        return np.empty((0, 2))
    return pixels_to_sheet(graded.sheet, np.array([fry.centreline_px.mean(axis=0) for fry in fries]))


def note_pair(journal: Journal, *, tag: str, first: str, second: str, way: Way, by: str) -> Entry:
    """Keep that two photos, by their SHA-256, are of one plate: it then counts once.

    Raises
    ------
    EvidenceRefused
        It is one photo twice, or the first is itself a second, or the second has one of its own.
    """
    noted = noted_pairs(journal.of_kind("inspection"), tag)
    if first == second or first in noted or second in {told for told, _ in noted.values()}:
        hint = "Nothing was noted. Name the first photo of the plate, then the one after it was turned or flipped."
        raise EvidenceRefused("These two photos can't be a pair of one plate.", hint=hint)
    body = {"by": by, "first": first, "second": second, "way": way, "what": _PAIR}
    return journal.add("inspection", body, about=tag)


def noted_pairs(entries: Iterable[Entry], tag: str) -> dict[str, tuple[str, Way]]:
    """Of each second photo its first, and how the plate was changed in between."""
    told: dict[str, tuple[str, Way]] = {}
    for entry in entries:
        body = entry.body or {}
        if entry.link.kind == "inspection" and entry.link.about == tag and body.get("what") == _PAIR:
            told[str(body.get("second"))] = (
                str(body.get("first")),
                "turned" if body.get("way") == "turned" else "flipped",
            )
    return told


def pooled_u(pairs: Sequence[Pair]) -> Mapping[QuantityKey, tuple[float, int]]:
    """Standard uncertainty of a plate's mean from several pairs, and its degrees of freedom: one a pair.

    The sum of squares over pairs by their number; source: JCGM 100:2008, 4.2.4 (a pooled estimate; from memory, tested
    on drawn pairs).
    """
    told: dict[QuantityKey, list[float]] = {}
    for pair in pairs:
        for reading in pair.readings:
            told.setdefault(reading.quantity, []).append(reading.u)
    return {key: (float(np.sqrt(np.mean(np.square(us)))), len(us)) for key, us in told.items()}


def pair_lines(pair: Pair) -> Iterator[str]:
    """In words."""
    done = "turned by half a turn" if pair.way == "turned" else "its fries flipped"
    yield f"One plate, {done} between two photos:"
    for reading in pair.readings:
        quantity = QUANTITIES[reading.quantity]
        yield (
            f"  {quantity.title}: {quantity.amount(reading.first)} and {quantity.amount(reading.second)}; mean "
            f"{quantity.amount(reading.mean)} ± {quantity.amount(reading.u)} (k = 1, from this pair: one degree of "
            "freedom, so the true doubt may well be some times larger)"
        )
    if pair.lengths is not None:
        one = pair.lengths
        yield (
            f"  {one.fries} fries were found again where they lay: lengths differ by {one.bias_mm:+.2f} mm in mean; "
            f"a single one scatters by {one.sd_mm:.2f} mm (k = 1), stated is {one.stated_u_mm:.2f} mm"
        )
    yield "What both photos share (the card's colours, the length of the printed rule) doesn't show in a pair."
