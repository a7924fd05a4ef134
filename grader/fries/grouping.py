"""Decides which pieces make up one fry: of all ways to share the pieces out, the one that costs least.

A group of pieces costs a fixed sum (fewer fries explain more), a sum for every seam that it ignores (and earns where
there is none), for not looking like a strip, for being wider than the cut, and a little for what is hidden of it.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from grader.arrays import IntArray
from grader.fries.bridging import bridged
from grader.fries.cover import SECONDS, cheapest_cover, full_grown, worth_having
from grader.fries.pieces import Pieces
from grader.fries.shapes import Group, Shapes
from grader.fries.strip import StripFit
from grader.fries.view import MM_PER_PX

_A_FRY = 6.0
_A_SEAM = 0.045  # per px of cut and unit of log odds
_A_MISFIT = 0.008  # per px of area that only one of region and bar has
_A_WIDTH = 40.0  # per unit of log(width / allowed width)
_A_GAP = 0.5  # for going on below another
_A_HIDDEN = 0.0005  # per px of area below others
_MISFIT_FREE = 0.05
_WIDER_THAN_CUT = 1.25
_LEAST_GAP_PX = 4.0

_MOST_PIECES = 14
_MOST_GROUPS = 60
"""At most so many groups of one size are grown on, the cheapest first: bounds the time in a heap."""
_MOST_BRIDGES = 2
"""A fry is looked for below at most so many others."""
_SURE_SEAM = 3.9
_NO_STRIP = 0.45
_FAR_TOO_WIDE = 2.0


@dataclass(frozen=True, slots=True)
class _Cut:
    logit: float
    length: float


_Meetings = dict[int, dict[int, _Cut]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Plate:
    """What groups are judged by: the shapes of the pieces, the cuts between them, the width that fries were cut to.

    `seconds` is how long the cheapest way to share out pieces that hang together is looked for.
    """

    shapes: Shapes
    meetings: _Meetings
    cut_width_mm: float
    seconds: float

    @property
    def widest_px(self) -> float:
        """No fry is wider."""
        return _FAR_TOO_WIDE * self.cut_width_mm / MM_PER_PX

    def costs(self, fits: dict[Group, StripFit]) -> dict[Group, float]:
        """Of each group as one fry."""
        return {group: self._cost(group, fit) for group, fit in fits.items()}

    def _cost(self, group: Group, fit: StripFit) -> float:
        seams = sum(
            cut.logit * cut.length
            for member in group
            for other, cut in self.meetings[member].items()
            if other in group and other > member
        )
        width_mm = max(fit.width_px, 1.0) * MM_PER_PX
        too_wide = max(0.0, float(np.log(width_mm / (_WIDER_THAN_CUT * self.cut_width_mm))))
        misfit_px = max(fit.misfit_px - _MISFIT_FREE * self.shapes.area(group), 0.0)
        below = (_A_GAP if fit.gap_px > _LEAST_GAP_PX else 0.0) + _A_HIDDEN * fit.hidden_px
        return _A_FRY + _A_SEAM * seams + _A_MISFIT * misfit_px + _A_WIDTH * too_wide + below


def group_pieces(pieces: Pieces, *, cut_width_mm: float, seconds: float = SECONDS) -> IntArray:
    """(h, w) labels of whole fries, 0 outside; each is a union of pieces, in several parts where others lie over it.

    Where the cheapest way to share out pieces that hang together isn't found within `seconds`, each is left by itself.
    """
    if pieces.labels.max() == 0:
        return pieces.labels
    shapes = Shapes(pieces.labels)
    plate = _Plate(shapes=shapes, meetings=_meetings(pieces), cut_width_mm=cut_width_mm, seconds=seconds)
    fry_of_piece = np.zeros(pieces.labels.max() + 1, np.int64)
    fries = [fry for blob in _blobs(plate.meetings, int(pieces.labels.max())) for fry in _share_out(blob, plate)]
    for number, fry in enumerate(fries, start=1):
        fry_of_piece[list(fry)] = number
    return np.asarray(fry_of_piece[pieces.labels])


def _share_out(blob: list[int], plate: _Plate) -> list[Group]:
    """The fries that pieces which hang together belong to."""
    if len(blob) == 1:
        return [frozenset(blob)]
    costs = worth_having(_possible_groups(blob, plate))
    parts = ends = full_grown(costs)
    for _ in range(_MOST_BRIDGES):
        found = plate.costs(bridged(parts, ends, plate.shapes, widest_px=plate.widest_px))
        costs |= {group: cost for group, cost in found.items() if group not in costs}
        parts = list(found)
    return cheapest_cover(costs, seconds=plate.seconds)


def _blobs(meetings: _Meetings, pieces: int) -> Iterator[list[int]]:
    """Pieces that hang together."""
    left = set(range(1, pieces + 1))
    while left:
        blob, edge = [], [left.pop()]
        while edge:
            piece = edge.pop()
            blob.append(piece)
            beside = left.intersection(meetings[piece])
            left -= beside
            edge.extend(beside)
        yield sorted(blob)


def _meetings(pieces: Pieces) -> _Meetings:
    meetings: _Meetings = defaultdict(dict)
    for (a, b), logit, length in zip(pieces.cuts.tolist(), pieces.seam_logit, pieces.cut_length_px, strict=True):
        meetings[a][b] = meetings[b][a] = _Cut(float(logit), float(length))
    return meetings


def _possible_groups(blob: list[int], plate: _Plate) -> dict[Group, float]:
    """Single pieces, and what grows from them through uncertain cuts as long as it may still become a strip: costs."""
    growing = [frozenset([number]) for number in blob]
    costs = plate.costs({group: plate.shapes.fit(group) for group in growing})
    tried = set(costs)
    for _ in range(_MOST_PIECES - 1):
        unions = {union for group in growing for union in _grown(group, plate.meetings)} - tried
        tried |= unions
        new = plate.costs(_strips(unions, plate))
        costs |= new
        growing = sorted(new, key=lambda group: (new[group], sorted(group)))[:_MOST_GROUPS]
    return costs


def _strips(groups: set[Group], plate: _Plate) -> dict[Group, StripFit]:
    fits = {}
    for group in plate.shapes.may_be_strips(list(groups), widest_px=plate.widest_px):
        fit = plate.shapes.fit(group)
        if fit.misfit_px <= _NO_STRIP * plate.shapes.area(group) and fit.width_px <= plate.widest_px:
            fits[group] = fit
    return fits


def _grown(group: Group, meetings: _Meetings) -> list[Group]:
    """The group with one more piece that meets it, where the cut between isn't surely a seam."""
    across: dict[int, list[_Cut]] = defaultdict(list)
    for member in group:
        for other, cut in meetings[member].items():
            if other not in group:
                across[other].append(cut)
    return [group | {other} for other, cuts in across.items() if _mean_logit(cuts) < _SURE_SEAM]


def _mean_logit(cuts: list[_Cut]) -> float:
    return sum(cut.logit * cut.length for cut in cuts) / sum(cut.length for cut in cuts)
