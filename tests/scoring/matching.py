"""Which fry of the readings is which fry of the truth."""

from dataclasses import dataclass

import numpy as np

from tests.scoring.readings import Labels, ReadFry, TrueFry

MATCH_IOU = 0.5
"""Intersection over union from which two outlines are the same fry. No two matches can then share a fry by accident,
except at exactly a half; the best pair is taken first all the same."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A fry found: as rendered, as graded, and how well the two cover each other."""

    true: TrueFry
    read: ReadFry
    iou: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Matches:
    """The pairs of one plate, how many required fries have none, how many fries of the readings are none."""

    pairs: tuple[Pair, ...]
    missed: int
    false: int


def shared_pixels(mask: Labels, labels: Labels) -> Labels:
    """(n + 1, m + 1) pixels that fry i of the truth and fry k of the readings have in common; 0 is the ground.

    Raises
    ------
    ValueError
        The two pictures differ in size.
    """
    if mask.shape != labels.shape:
        message = f"the labels are {labels.shape}, the photo is {mask.shape}"
        raise ValueError(message)
    rows, columns = int(mask.max()) + 1, int(labels.max()) + 1
    return np.bincount((mask * columns + labels).ravel(), minlength=rows * columns).reshape(rows, columns)


def match(mask: Labels, labels: Labels, true: tuple[TrueFry, ...], read: tuple[ReadFry, ...]) -> Matches:
    """Pair required fries with read ones, best overlap first.

    A read fry that lies mostly on fries which need not be found is set aside: it is neither found nor false.
    """
    shared = shared_pixels(mask, labels)
    in_truth, in_labels = shared.sum(axis=1), shared.sum(axis=0)
    required = [fry for fry in true if fry.required and fry.number < len(in_truth)]
    drawn = [fry for fry in read if fry.number < len(in_labels)]

    candidates = []
    for a in required:
        for b in drawn:
            common = shared[a.number, b.number]
            iou = common / max(1, in_truth[a.number] + in_labels[b.number] - common)
            if iou >= MATCH_IOU:
                candidates.append(Pair(true=a, read=b, iou=float(iou)))
    pairs: list[Pair] = []
    for pair in sorted(candidates, key=lambda pair: pair.iou, reverse=True):
        if all(pair.true is not other.true and pair.read is not other.read for other in pairs):
            pairs.append(pair)

    free = [fry.number for fry in true if not fry.required and fry.number < len(in_truth)]
    aside = {fry.number for fry in drawn if shared[free, fry.number].sum() > 0.5 * in_labels[fry.number]}
    used = {pair.read.number for pair in pairs}
    return Matches(
        pairs=tuple(pairs),
        missed=sum(fry.required for fry in true) - len(pairs),
        false=sum(fry.number not in used and fry.number not in aside for fry in read),
    )
