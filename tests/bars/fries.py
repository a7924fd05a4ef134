"""What lengths, widths, dark ends and shares by length must reach, as data, and how far a graded folder is from it."""

from collections.abc import Iterator, Sequence

import numpy as np
from scipy.special import ndtr

from grader.decision.counting import count_distribution
from tests.bars.main_job import Bar, Reached, figures_reached
from tests.scoring.cover import LEAST_COVER, MOST_COVER, Cover, Flags, Floats, share_held, thirds
from tests.scoring.figures import COVER_Z, LENGTH_STEPS_MM, by_group
from tests.scoring.plates import PlateScore

SIZE_BARS: tuple[Bar, ...] = (
    Bar(group="spread", figure="length_given", at_least=0.98),
    Bar(group="mat", figure="length_given", at_least=0.98),
    Bar(group="touching", figure="length_given", at_least=0.95),
    Bar(group="spread", figure="colour_given", at_least=0.98),
    Bar(group="mat", figure="colour_given", at_least=0.98),
    Bar(group="touching", figure="colour_given", at_least=0.98),
    Bar(group="all but heaps", figure="length_mae_mm", at_most=1.0),
    Bar(group="all but heaps", figure="length_bias_mm", at_least=-0.3, at_most=0.3),
    Bar(group="all but heaps", figure="length_p95_mm", at_most=2.8),
    Bar(group="all but heaps", figure="width_mae_mm", at_most=0.4),
    Bar(group="all but heaps", figure="dark_end_recall", at_least=0.9),
    Bar(group="all but heaps", figure="dark_end_precision", at_least=0.9),
    Bar(group="all but heaps", figure="dark_reach_mae_mm", at_most=3.0),
    Bar(group="all but heaps", figure="share_bias_50", at_least=-0.01, at_most=0.01),
    Bar(group="all but heaps", figure="share_bias_76", at_least=-0.01, at_most=0.01),
)
_LEAST_FRIES = 8


def sizes_reached(scores: Sequence[PlateScore]) -> Iterator[Reached]:
    """Every bar of sizes that the plates say something about, cover among them."""
    yield from figures_reached(by_group(scores), SIZE_BARS)
    for cover in size_covers(scores):
        yield Reached(
            name=f"cover, {cover.what}",
            wanted=f"{LEAST_COVER:g} to {MOST_COVER:g} within its range",
            value=f"{cover.share:.3f} ({cover.low:.2f} to {cover.high:.2f})",
            met=cover.may_be_right,
        )


def size_covers(scores: Sequence[PlateScore]) -> Iterator[Cover]:
    """Lengths and widths, all and each third of them by stated uncertainty; shares by length, plate by plate."""
    measured = [score for score in scores if score.lengths_mm and score.group != "heap"]
    lengths = [(np.array(one.length_z), np.array(one.length_u_mm)) for one in measured]
    widths = [(np.array(one.width_z), np.array(one.width_u_mm)) for one in measured]
    for what, told in (("lengths", lengths), ("widths", widths)):
        yield from _by_thirds(what, [z for z, _ in told], [u for _, u in told])
    for step in LENGTH_STEPS_MM:
        held = [np.array([_holds(one, step)]) for one in measured if len(one.lengths_mm) >= _LEAST_FRIES]
        if held:
            yield _cover(f"share of {step:g} mm or longer", held)


def _by_thirds(what: str, z: Sequence[Floats], u: Sequence[Floats]) -> Iterator[Cover]:
    inside = [np.abs(one) <= COVER_Z for one in z]
    yield _cover(what, inside)
    for words, chosen in thirds(u):
        of_third = [held[which] for held, which in zip(inside, chosen, strict=True)]
        yield _cover(f"{what}, {words}", [held for held in of_third if len(held)])


def _holds(score: PlateScore, step_mm: float) -> float:
    """How much of the plate's true number of fries so long lies in the middle 95 % of what lengths and doubts allow.

    A count has steps: its place among what is possible is spread evenly over its own step, or intervals of whole
    numbers would seem to hold too much (randomised probability integral transform; Czado, Gneiting, Held, 2009, from
    memory).
    """
    read, true = np.array(score.lengths_mm).T
    counts = count_distribution(np.asarray(ndtr((read - step_mm) / np.array(score.length_u_mm)), float))
    truth = int((true >= step_mm).sum())
    low, step = float(counts[:truth].sum()), float(counts[truth])
    return max(0.0, min(low + step, 0.975) - max(low, 0.025)) / step if step > 0 else 0.0


def _cover(what: str, held: Sequence[Flags | Floats]) -> Cover:
    share, low, high = share_held(held)
    return Cover(what=what, share=share, low=low, high=high)
