"""What both charts have in common: a count of fries upwards, and the lines and words of limits."""

import altair as alt
import numpy as np
import pandas as pd
from numpy.typing import NDArray

from grader.language import tr

Chart = alt.LayerChart | alt.FacetChart  # what altair calls layers; here they are always the first

HEIGHT_PX = 240
HEADROOM = 0.14
"""Room for words above the highest bar, a share of its height."""
LIMIT_COLOUR = "#b3261e"
LIMIT_DASH = [5, 3]

_TICKS = [k * 10**n for n in range(8) for k in (1, 2, 5)]


def highest(counts: NDArray[np.int_]) -> int:
    """The highest bar, at least 1 so that an empty chart has a height."""
    return max(int(counts.max(initial=0)), 1)


def count_axis(counts: NDArray[np.int_], *, below: float = 0.0) -> alt.Y:
    """Whole numbers of fries, with room above for words, and `below` (a share of the bars' height) for swatches."""
    most = highest(counts)
    step = next(step for step in _TICKS if most / step <= 5)
    domain = alt.Scale(domain=[-below * most, most * (1 + HEADROOM)], nice=False, zero=False)
    ticks = list(range(0, most + 1, step))
    return alt.Y("fries:Q", title=tr("fries"), scale=domain, axis=alt.Axis(values=ticks, format="d", grid=False))


def limit_words(at: float, words: str, most: int, *, before: bool = False) -> alt.Chart:
    """Words at the upper end of the line of a limit, behind or before it."""
    mark = alt.MarkDef(
        "text",
        align="right" if before else "left",
        dx=-4 if before else 4,
        baseline="top",
        color=LIMIT_COLOUR,
        fontWeight="bold",
        fontSize=12,
    )
    upper = alt.Y(datum=most * (1 + HEADROOM))
    return alt.Chart(pd.DataFrame({"at": [at]}), mark=mark).encode(x="at:Q", y=upper, text=alt.value(words))
