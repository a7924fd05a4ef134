"""Whether plates can give a scale at all: steps enough, plates enough of each, and which are right."""

from collections import Counter
from collections.abc import Mapping, Sequence

from grader.errors import GraderError

STEPS_AT_LEAST = 3
PLATES_AT_LEAST = 2
"""Of each step: one to make the scale and one to hold out. Three or more tell more of how plates scatter."""


class PlatesInsufficientError(GraderError, ValueError):
    """The plates can't give a scale; the message names every step that lacks something."""


def check_steps(counts: Mapping[str, int], *, steps: Sequence[str], right: Sequence[str]) -> None:
    """Refuse what can't give a scale, all of it at once.

    Parameters
    ----------
    counts
        How many plates there are of each step.
    steps, right
        As for `propose_scale`.

    Raises
    ------
    PlatesInsufficientError
        Too few steps, too few plates of one, right steps that are none.
    """
    said = []
    if len(steps) < STEPS_AT_LEAST:
        said.append(f"there are {len(steps)} steps, and a scale needs at least {STEPS_AT_LEAST}")
    twice = [name for name, count in Counter(name.casefold() for name in steps).items() if count > 1]
    said += [f'"{name}" is the name of two steps' for name in twice]
    few = [f'"{name}" has {n}' for name in dict.fromkeys(steps) if (n := counts.get(name, 0)) < PLATES_AT_LEAST]
    if few:
        said.append(
            f"each step needs at least {PLATES_AT_LEAST} plates with fries that have a colour: {', '.join(few)}"
        )
    said += [f'plates are called "{name}", which is no step' for name in counts if name not in steps]
    said += _check_right(list(steps), list(right))
    if said:
        raise PlatesInsufficientError(
            f"These plates make no scale: {'; '.join(said)}.",
            hint="Photograph at least 2 plates (better 3 or more) of each step: too pale, right, and too dark.",
        )


def _check_right(steps: list[str], right: list[str]) -> list[str]:
    unknown = [f'"{name}" is called right and is no step' for name in right if name not in steps]
    if unknown:
        return unknown
    if not right:
        return ["no step is called right"]
    at = [steps.index(name) for name in right]
    if at != list(range(at[0], at[0] + len(at))):
        return ["the steps that are right must be neighbours, named from pale to dark"]
    if at[0] == 0 or at[-1] == len(steps) - 1:
        return ["the palest and the darkest step can't be right: without plates beyond it a target has no end"]
    return []
