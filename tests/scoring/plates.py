"""One plate scored: what every figure is later pooled from."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from skimage.color import deltaE_ciede2000

from tests.scoring.matching import Pair, match
from tests.scoring.readings import Lab, ReadPlate, TruePlate, readings, truths

DARK_REACH_MM = 4.0
"""From this reach on a dark end of the truth must be reported."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourRead:
    """One fry's colour as rendered and as graded, with its stated standard uncertainty."""

    number: int
    true: Lab
    read: Lab
    u: Lab | None

    @property
    def error(self) -> Lab:
        """Reading minus truth."""
        return self.read[0] - self.true[0], self.read[1] - self.true[1], self.read[2] - self.true[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateScore:
    """One plate against its truth. Errors are readings minus truth; `z` is an error in stated standard uncertainties.

    A plate without a result, or wrongly refused, has all its fries missed: leaving out what is hard counts as a miss.
    """

    name: str
    group: str
    inks: bool
    must_refuse: bool
    has_result: bool
    refused: bool
    right_reason: bool
    codes: tuple[str, ...]
    missed: int
    lengths_wanted: int
    colours_wanted: int
    false: int = 0
    ious: tuple[float, ...] = ()
    lengths_mm: tuple[tuple[float, float], ...] = ()
    length_z: tuple[float, ...] = ()
    length_u_mm: tuple[float, ...] = ()
    width_errors_mm: tuple[float, ...] = ()
    width_z: tuple[float, ...] = ()
    width_u_mm: tuple[float, ...] = ()
    colours: tuple[ColourRead, ...] = ()
    dark_ends: tuple[tuple[bool, bool], ...] = ()
    dark_reach_errors_mm: tuple[float, ...] = ()

    @property
    def colour_de(self) -> tuple[float, ...]:
        """CIE 2000 difference of each fry."""
        return tuple(float(deltaE_ciede2000(np.array(one.true), np.array(one.read))) for one in self.colours)

    @property
    def colour_errors(self) -> tuple[Lab, ...]:
        """CIELAB error of each fry."""
        return tuple(one.error for one in self.colours)

    @property
    def colour_z(self) -> tuple[float, ...]:
        """Each channel of each fry that states one."""
        stated = [(one.error, one.u) for one in self.colours if one.u is not None]
        return tuple(e / max(u, 1e-9) for error, us in stated for e, u in zip(error, us, strict=True))


@dataclass(slots=True)
class _Sizes:
    """Gathers what is compared of fries that show almost wholly."""

    lengths: list[tuple[float, float]] = field(default_factory=list)
    length_u: list[float] = field(default_factory=list)
    z: list[float] = field(default_factory=list)
    widths: list[float] = field(default_factory=list)
    width_u: list[float] = field(default_factory=list)
    width_z: list[float] = field(default_factory=list)
    dark: list[tuple[bool, bool]] = field(default_factory=list)
    reach: list[float] = field(default_factory=list)

    def take(self, pair: Pair) -> None:
        true, read = pair.true, pair.read
        if read.length_mm is not None:
            self.lengths.append((read.length_mm, true.length_mm))
            if read.length_mm_u:
                self.z.append((read.length_mm - true.length_mm) / read.length_mm_u)
                self.length_u.append(read.length_mm_u)
        if read.width_mm is not None:
            self.widths.append(read.width_mm - true.width_mm)
            if read.width_mm_u:
                self.width_z.append((read.width_mm - true.width_mm) / read.width_mm_u)
                self.width_u.append(read.width_mm_u)
        is_dark, said = true.dark_reach_mm > DARK_REACH_MM, read.dark_end_mm or 0.0
        self.dark.append((is_dark, said > 0))
        if is_dark and said > 0:
            self.reach.append(said - true.dark_reach_mm)


def _colours(pairs: tuple[Pair, ...]) -> Iterator[ColourRead]:
    for pair in pairs:
        true, read = pair.true.lab, pair.read.lab
        if pair.true.colour_counts and true is not None and read is not None:
            yield ColourRead(number=pair.true.number, true=true, read=read, u=pair.read.lab_u)


def score_plate(true: TruePlate, read: ReadPlate | None) -> PlateScore:
    """One plate's score; `read` None where there is no result."""
    codes = read.codes if read else ()
    refused = read is not None and read.refused
    nothing = PlateScore(
        name=true.name,
        group=true.group,
        inks=true.inks,
        must_refuse=bool(true.reasons),
        has_result=read is not None,
        refused=refused,
        right_reason=refused and bool(codes) and codes[0] in true.reasons,
        codes=codes,
        missed=sum(fry.required for fry in true.fries),
        lengths_wanted=sum(fry.length_counts for fry in true.fries),
        colours_wanted=sum(fry.colour_counts for fry in true.fries),
    )
    if read is None or refused or true.reasons:
        return nothing
    matches = match(true.mask, read.labels, true.fries, read.fries)
    sizes = _Sizes()
    for pair in matches.pairs:
        if pair.true.length_counts:
            sizes.take(pair)
    return replace(
        nothing,
        missed=matches.missed,
        false=matches.false,
        ious=tuple(pair.iou for pair in matches.pairs),
        lengths_mm=tuple(sizes.lengths),
        length_z=tuple(sizes.z),
        length_u_mm=tuple(sizes.length_u),
        width_errors_mm=tuple(sizes.widths),
        width_z=tuple(sizes.width_z),
        width_u_mm=tuple(sizes.width_u),
        colours=tuple(_colours(matches.pairs)),
        dark_ends=tuple(sizes.dark),
        dark_reach_errors_mm=tuple(sizes.reach),
    )


def score_folder(truth_folder: Path, result_folder: Path) -> tuple[PlateScore, ...]:
    """Every plate that has a truth, against what lies in `result_folder`."""
    return tuple(score_plate(true, readings(result_folder, true.name)) for true in truths(truth_folder))
