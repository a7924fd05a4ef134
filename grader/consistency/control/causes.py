"""Phone, print or light: as far as control photographs can tell them apart.

One row alone can't: a phone that changes its colours and a lamp that does look alike. What other rows show at the same
time can: the same card by another phone, the same phone with another card.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from grader.consistency.control.series import ControlWatch, Watched


class State(StrEnum):
    """What the newest control photograph comes to."""

    LEARNING = "not yet known what is usual"
    AS_USUAL = "as usual"
    REFITTED = "changed, and the correction fits it as well as before"
    LEFT = "changed, and the correction no longer fits it as well"


def state_of(watch: ControlWatch) -> State:
    """The state of a row."""
    if not watch.rows:
        return State.LEARNING
    if watch.is_out(Watched.LEFT):
        return State.LEFT
    return State.REFITTED if watch.patches or any(watch.is_out(what) for what in Watched) else State.AS_USUAL


@dataclass(frozen=True, slots=True, kw_only=True)
class Other:
    """The newest photo of another row, taken about the same time: what it shares with this one, and its state."""

    same_card: bool
    same_phone: bool
    same_light: bool
    state: State


_CHANGED = frozenset({State.REFITTED, State.LEFT})
_MANY = 2 / 3
_TWIN = "Lay the card beside its twin from the dark and run card-drift: that tells a faded print for sure."


def suspects(state: State, others: Sequence[Other]) -> tuple[str, ...]:
    """Which of phone, print and light may be why, in that order; none where nothing changed.

    A row that changed as well clears what it doesn't share with this one; a row that didn't clears what it shares.
    """
    if state not in _CHANGED:
        return ()
    cleared: set[str] = set()
    for other in others:
        shared = {"the phone": other.same_phone, "the print": other.same_card, "the light": other.same_light}
        if other.state in _CHANGED:
            cleared |= {name for name, same in shared.items() if not same}
        elif other.state is State.AS_USUAL:
            cleared |= {name for name, same in shared.items() if same}
    left = tuple(name for name in ("the phone", "the print", "the light") if name not in cleared)
    return left or ("the phone", "the print", "the light")


def control_lines(watch: ControlWatch, others: Sequence[Other]) -> Iterator[str]:
    """What a control photograph says, the verdict first."""
    state = state_of(watch)
    if state is State.LEARNING:
        yield f"Kept: {len(watch.taken)} of {watch.first} photos that set what is usual. {watch.lacking} more to take."
        return
    yield f"The card looks {state.value}."
    yield from _advice(state, watch, suspects(state, others))
    for what, row in watch.rows.items():
        unit = "CIELAB units" if what is Watched.LEFT else "%"
        reach = f"up to {row.high:.1f}" if row.low is None else f"{row.low:+.1f} to {row.high:+.1f}"
        value = f"{row.values[-1]:.1f}" if row.low is None else f"{row.values[-1]:+.1f}"
        yield f"  {what.value}: {value} {unit} from the first {watch.first} photos (limits: {reach})"


def _advice(state: State, watch: ControlWatch, why: tuple[str, ...]) -> Iterator[str]:
    if not why:
        return
    if len(why) == 1:
        yield f"By what other cards and phones show, it is {why[0]}."
    else:
        yield f"It may be {', '.join(why[:-1])} or {why[-1]}: photograph {_next(why)} to tell."
    of = len(watch.taken[-1].reading.numbers)
    if len(watch.patches) > _MANY * of:
        yield f"{len(watch.patches)} of {of} patches look different: that is seldom dirt."
    elif watch.patches:
        yield f"Patches that look different: {', '.join(map(str, watch.patches))}. Wipe the card and look at them."
    if state is State.LEFT:
        yield "Until that is settled, readings of fries may be off by as much: use another card, or another light."
    elif why != ("the print",):
        yield "What phone or light do, the correction takes out: fries are read as before."
    if "the print" in why:
        yield f"A print that faded is not taken out: fries are then read wrong by it. {_TWIN}"


def _next(why: tuple[str, ...]) -> str:
    if "the phone" in why:
        return "the same card with another phone"
    return "another card of the run with this phone"
