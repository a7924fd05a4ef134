"""Which pixels are fry: what the network sees, mended by colour and shape where it has overlooked a part.

A network may fail on a picture that is like none it learned from. Strips as yellow as fries that lie by themselves
notice it: if it sees few of those, they are taken in its place, and the plate says so.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from grader.arrays import MaskArray
from grader.fries.lone_strips import lone_strips
from grader.fries.morphology import opened, parts_of
from grader.fries.sight import Sight
from grader.fries.view import View
from grader.fries.yellow import neither_herb_nor_sauce, tidied

_MOSTLY, _PARTLY = 0.4, 0.1
"""Of a yellow part: where the network sees so much of it, the rest is of the same fries; of one strip less will do."""
_HARDLY = 0.3
"""Of a yellow part that is no strip: less is a wooden thing of which the network takes a part for a fry."""
_OVERLOOKED_MM = 1.2
"""A shadow between two fries is yellow too, but holds no disc of this radius."""
_LEAST_STRIPS, _UNSEEN = 5, 0.5
"""So many yellow strips by themselves, and so much of them not seen: then it is the network that errs."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Foreground:
    """Where fries are.

    Attributes
    ----------
    fries
        (h, w) True where fry is, crumbs left out; edges to about a pixel (`labels` makes them finer).
    unfamiliar
        The network saw little of what by colour and shape are fries: then these told alone.
    """

    fries: MaskArray
    unfamiliar: bool


def find_foreground(view: View, sight: Sight, yellow: MaskArray, *, cut_width_mm: float) -> Foreground:
    """What of a view is fry, by what the network says of it and by its colours (`yellow_fries`)."""
    seen = (sight.fry_logit > 0) & ~view.barred & neither_herb_nor_sauce(view)
    strips = lone_strips(yellow, cut_width_mm=cut_width_mm)
    unfamiliar = strips.max() >= _LEAST_STRIPS and seen[strips > 0].mean() < _UNSEEN
    mostly, partly, hardly = _seen_from((_MOSTLY, _PARTLY, _HARDLY), yellow, seen)
    overlooked = opened(mostly & ~seen, _OVERLOOKED_MM)
    more = strips > 0 if unfamiliar else (strips > 0) & partly
    odd = yellow & (strips == 0) & ~hardly
    return Foreground(fries=tidied((seen & ~odd) | overlooked | more), unfamiliar=bool(unfamiliar))


def _seen_from(shares: Sequence[float], mask: MaskArray, seen: MaskArray) -> Iterator[MaskArray]:
    """The connected parts of a mask of which the network sees at least so much: one mask for each share."""
    count, parts = parts_of(mask)
    px, seen_px = (np.bincount(some, minlength=count) for some in (parts.ravel(), parts[seen]))
    for share in shares:
        keep = seen_px >= share * px
        keep[0] = False
        yield keep.take(parts)
