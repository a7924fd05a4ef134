"""What fries of other shapes, and fries among things that are none, must reach; and how far graded plates are from it.

The bars are those of plain strips (`splitting`, `fries`) with a third more allowed: to miss, to err, to leave out.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

import cv2

from tests.bars.main_job import Bar, Reached, figures_reached
from tests.scoring.figures import by_group
from tests.scoring.plates import PlateScore
from tests.scoring.readings import Json, readings

SHAPES = ("wedge", "crinkle", "rolled", "curly", "other")
SHAPE_BARS: tuple[Bar, ...] = (
    Bar(group="spread", figure="pq", at_least=0.947),
    Bar(group="mat", figure="pq", at_least=0.933),
    Bar(group="touching", figure="pq", at_least=0.907),
    Bar(group="crossing", figure="pq", at_least=0.773),
    Bar(group="spread", figure="found", at_least=0.987),
    Bar(group="mat", figure="found", at_least=0.973),
    Bar(group="touching", figure="found", at_least=0.96),
    Bar(group="crossing", figure="found", at_least=0.893),
    Bar(group="all but heaps", figure="false_share", at_most=0.0133),
    Bar(group="spread", figure="length_given", at_least=0.973),
    Bar(group="mat", figure="length_given", at_least=0.973),
    Bar(group="all but heaps", figure="length_mae_mm", at_most=1.33),
    Bar(group="all but heaps", figure="length_bias_mm", at_least=-0.4, at_most=0.4),
    Bar(group="all but heaps", figure="length_p95_mm", at_most=3.7),
    Bar(group="all but heaps", figure="width_mae_mm", at_most=0.53),
)
_MOST_TAKEN = 0.05
"""Of a thing that is no fry: what an outline may spill over where the two touch."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A thing among fries, and how much of it was taken for fry, 0 to 1."""

    kind: str
    share: float


def shape_of(score: PlateScore) -> str:
    """What lies on a plate, by its name."""
    return next(shape for shape in SHAPES if score.name.startswith(shape))


def shapes_reached(scores: Sequence[PlateScore]) -> dict[str, Reached]:
    """By `SHAPE, GROUP: FIGURE`, every bar that the plates say something about."""
    reached = {}
    for shape, plates in groupby(sorted(scores, key=shape_of), key=shape_of):
        for one in figures_reached(by_group(list(plates)), SHAPE_BARS):
            reached[f"{shape}, {one.name}"] = one
    return reached


def things_taken(truth_folder: Path, results: Path) -> Iterator[Taken]:
    """Of every NAME.other.png under a folder, each thing that it shows.

    Raises
    ------
    FileNotFoundError
        Nothing was read of its photo.
    """
    for file in sorted(truth_folder.rglob("*.other.png")):
        name = file.name.removesuffix(".other.png")
        read, where = readings(results, name), cv2.imread(str(file), cv2.IMREAD_UNCHANGED)
        if read is None or where is None:
            raise FileNotFoundError(f"nothing was read of {name}, or {file} is no picture")
        record: Json = json.loads(file.with_name(f"{name}.json").read_text(encoding="utf-8"))
        for thing in record["others"]:
            yield Taken(kind=thing["kind"], share=float((read.labels[where == thing["id"]] > 0).mean()))


def things_reached(taken: Sequence[Taken]) -> list[Reached]:
    """None is counted as a fry, nor part of one: kind by kind, the worst of all that lay there."""
    told = []
    for kind, things in groupby(sorted(taken, key=lambda one: one.kind), key=lambda one: one.kind):
        worst = max(one.share for one in things)
        wanted = f"at most {_MOST_TAKEN:g} of it taken for fry"
        told.append(Reached(name=kind, wanted=wanted, value=f"{worst:.3f}", met=worst <= _MOST_TAKEN))
    return told
