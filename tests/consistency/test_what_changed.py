"""What changed, and in which words: a new lot, a drift inside one, a change and the plates on both sides."""

import re
from datetime import datetime

import numpy as np

from grader.arrays import FloatArray
from grader.consistency.batches import batches_of
from grader.consistency.change_words import change_lines
from grader.consistency.model import Event, EventKind
from grader.consistency.what_changed import WhatChanged, what_changed
from tests.consistency.weeks import moment, new_lot, plates_of


def told(levels: FloatArray, *events: Event, seed: int = 1) -> WhatChanged:
    rng = np.random.default_rng(seed)
    return what_changed(batches_of(plates_of(levels, rng), "place"), events, rng)


def lines(what: WhatChanged) -> list[str]:
    return list(change_lines(what, "place", clock))


def clock(at: datetime) -> str:
    return f"{at:%d.%m. %H:%M}"


def test_a_darker_lot_is_told_as_a_step_and_as_no_change_or_drift() -> None:
    what = told(np.repeat([4.0, 5.0], 10), new_lot(10, "4711"))
    assert what.starts == (10,)
    (step,) = what.steps
    assert step.step is not None
    assert step.step.low > 0.4
    assert step.step.high < 1.6
    assert what.changes == ()
    said = lines(what)
    assert said[0].startswith("New lot 4711, before batch 11 (03.09. 01:00): the first basket came out ")
    assert "steps darker" in said[0]
    assert said[0].endswith("The level is learned anew.")
    assert said[1:] == [
        "No drift inside a stretch is shown.",
        "Inside stretches without an event no change of level is shown.",
    ]


def test_a_drift_inside_a_lot_is_not_excused_by_the_lots() -> None:
    """Each lot begins at a level of its own and darkens by 0.15 steps a batch."""
    levels = np.repeat([4.0, 5.5, 3.5], 10) + np.tile(np.arange(10) * 0.15, 3)
    what = told(levels, new_lot(10, "B"), new_lot(20, "C"))
    assert what.drift.common is not None
    assert what.drift.common.shown
    said = lines(what)
    of_all = r"Drift in all stretches alike: each batch is 0\.1\d\d steps darker than the one before \(0\.\d{3} to"
    assert any(re.match(of_all, line) for line in said)


def test_a_change_inside_a_lot_names_the_plates_on_both_sides() -> None:
    what = told(np.repeat([4.0, 5.0], [14, 6]))
    (changed,) = what.changes
    assert changed.change.first <= 14 < changed.change.last
    assert changed.before[-1] is changed.last_before
    assert changed.after[0] is changed.first_after
    assert len(changed.between) == changed.change.last - changed.change.first - 1
    assert not changed.gradual
    line = next(line for line in lines(what) if line.startswith("Changed"))
    assert not any(line.startswith("Drift") for line in lines(what))
    assert f"between batch {changed.change.first} (" in line
    assert f"{changed.last_before.plates[-1].plate} before" in line
    assert "how hot and how old the oil is" in line


def test_batches_are_counted_over_all_stretches() -> None:
    what = told(np.concatenate([np.full(10, 3.0), np.repeat([4.0, 5.5], 8)]), new_lot(10))
    (changed,) = what.changes
    assert changed.part.start == 10
    assert any(f"between batch {10 + changed.change.first} (" in line for line in lines(what))


def test_a_change_in_one_of_fifty_lots_is_told_as_in_one_of_five() -> None:
    """Each of so many looks must be surer; the chance is drawn finely enough to be that sure."""
    levels = np.full(500, 4.0)
    levels[255:260] = 6.0
    what = told(levels, *(new_lot(at) for at in range(10, 500, 10)))
    (changed,) = what.changes
    assert changed.part.start == 250
    assert changed.change.chance < 0.01 / 50


def test_a_slow_change_is_said_to_be_slow() -> None:
    (changed,) = told(np.linspace(4, 6.9, 30)).changes
    assert changed.gradual


def test_where_nothing_changes_nothing_is_told() -> None:
    wrong = 0
    for seed in range(200):
        what = told(np.full(15, 4.0), seed=seed)
        wrong += bool(what.changes) or any(slope is not None and slope.shown for slope in what.drift.slopes)
    print(f"nothing changed, something told: {wrong} of 200")
    assert wrong <= 8


def test_after_an_event_a_first_basket_is_asked_for() -> None:
    oil = Event(at=moment(9.5), kind=EventKind.OIL_CHANGED, kitchen="Quay", fryer="left")
    other = Event(at=moment(4.5), kind=EventKind.OIL_CHANGED, kitchen="Quay", fryer="right")
    what = told(np.full(10, 4.0), oil, other)
    assert what.starts == ()
    assert what.check_asked is not None
    assert what.check_asked.events == (oil,)
    said = lines(what)
    assert said[0].startswith("Oil changed, ")
    assert "Fry a first basket" in said[0]


def test_short_lots_are_said_to_tell_nothing_of_drift() -> None:
    what = told(np.full(9, 4.0), *(new_lot(at) for at in range(3, 9, 3)))
    assert any(line.startswith("9 of 9 batches lie in stretches of fewer than 4") for line in lines(what))
