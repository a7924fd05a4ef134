"""What finding fries and telling them apart must reach, as data, and how far a graded folder is from it."""

from collections.abc import Iterator, Sequence

import numpy as np

from tests.bars.main_job import Bar, Reached, figures_reached
from tests.scoring.figures import by_group
from tests.scoring.plates import PlateScore

FOUND_BARS: tuple[Bar, ...] = (
    Bar(group="spread", figure="pq", at_least=0.96),
    Bar(group="mat", figure="pq", at_least=0.95),
    Bar(group="touching", figure="pq", at_least=0.93),
    Bar(group="crossing", figure="pq", at_least=0.83),
    Bar(group="spread", figure="found", at_least=0.99),
    Bar(group="mat", figure="found", at_least=0.98),
    Bar(group="touching", figure="found", at_least=0.97),
    Bar(group="crossing", figure="found", at_least=0.92),
    Bar(group="spread", figure="false_share", at_most=0.01),
    Bar(group="mat", figure="false_share", at_most=0.01),
    Bar(group="touching", figure="false_share", at_most=0.01),
    Bar(group="crossing", figure="false_share", at_most=0.04),
)
LEAST_OVERLAP = 0.93


def found_reached(scores: Sequence[PlateScore]) -> Iterator[Reached]:
    """Every bar of finding that the plates say something about, the mean overlap of what was matched among them."""
    yield from figures_reached(by_group(scores), FOUND_BARS)
    overlaps = [overlap for score in scores if score.group != "heap" for overlap in score.ious]
    if overlaps:
        mean = float(np.mean(overlaps))
        yield Reached(
            name="all but heaps: mean overlap",
            wanted=f">= {LEAST_OVERLAP:g}",
            value=f"{mean:.3f}",
            met=mean >= LEAST_OVERLAP,
        )
