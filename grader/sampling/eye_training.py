"""Which plate a cook is shown next: mostly a new one, now and then one that comes back unannounced."""

from collections.abc import Sequence

import numpy as np

AGAIN_SHARE = 0.3
"""How often a plate comes back (house default): often enough to see whether a cook agrees with herself."""
APART = 3
"""So many other plates lie between two looks at the same one, so that nobody remembers it (house default)."""


def next_to_call(plates: Sequence[str], called: Sequence[str], rng: np.random.Generator) -> tuple[str, bool] | None:
    """The plate to show and whether it comes back; None where there is none.

    Parameters
    ----------
    plates
        All that could be shown.
    called
        What this cook called before, in order, with repeats.
    """
    before = set(called)
    new = [plate for plate in plates if plate not in before]
    back = sorted(before & set(plates) - set(called[-APART:]))
    if back and (not new or rng.random() < AGAIN_SHARE):
        return back[int(rng.integers(len(back)))], True
    if new:
        return new[int(rng.integers(len(new)))], False
    return None
