"""All that one fryer's charts tell, in values, in words and on the picture."""

from collections.abc import Sequence
from datetime import datetime

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.consistency.baseline import BaselineTooShortError, freeze
from grader.consistency.model import Event, PlateSummary
from grader.consistency.rules import RuleKey
from grader.consistency.shift_watch import Asked, Line, ShiftWatch, lines_of, shift_watch
from grader.consistency.signal_words import LETTERS, baseline_line, share_line, share_title, signal_lines
from grader.drawing.control_chart import control_chart_svg
from grader.drawing.shift_chart import LATEST, batch_chart, share_chart
from tests.consistency.weeks import moment, new_lot, plates_of


def watched(
    levels: Sequence[float] | FloatArray, *events: Event, asked: Asked | None = None, plates: int = 3
) -> ShiftWatch:
    rng = np.random.default_rng(5)
    return shift_watch(plates_of(levels, rng, plates=plates), events, asked or Asked(), rng)


def clock(at: datetime) -> str:
    return f"{at:%d.%m. %H:%M}"


STEADY = np.full(30, 4.0)
DARKER = np.concatenate([STEADY, np.full(4, 6.0)])


def test_without_a_choice_the_earliest_batches_are_the_baseline_and_that_is_said() -> None:
    told = watched(STEADY)
    assert told.watched.baseline.batches == 25
    assert told.watched.baseline.to_at == moment(24)
    assert "Nobody chose it: these are the earliest 25 batches." in baseline_line(told, clock)
    chosen = watched(STEADY, asked=Asked(baseline=(moment(2), moment(11))))
    assert chosen.watched.baseline.batches == 10
    assert "Nobody" not in baseline_line(chosen, clock)
    assert "fewer than 25" in baseline_line(chosen, clock)


def test_a_frozen_baseline_stays_as_it_was_frozen() -> None:
    plates = plates_of(STEADY, np.random.default_rng(9))
    frozen = freeze(plates, "place", from_at=moment(0), to_at=moment(20))
    assert watched(STEADY + 1, asked=Asked(baseline=frozen)).watched.baseline is frozen


def test_a_signal_is_said_once_for_batches_in_a_row() -> None:
    told = watched(DARKER)
    said = list(signal_lines(told, clock))
    beyond = [line for line in said if line.startswith("A, ")]
    assert len(beyond) == 1
    assert beyond[0].startswith("A, batches 31 to 34 (")
    assert ", darker. " in beyond[0]
    assert "how hot and how old the oil is" in beyond[0]


def test_paler_fries_send_a_cook_elsewhere() -> None:
    said = " ".join(signal_lines(watched(np.concatenate([STEADY, np.full(4, 2.0)])), clock))
    assert ", paler. " in said
    assert "baskets too full" in said


def test_a_lot_that_is_said_to_be_one_is_no_signal() -> None:
    assert list(signal_lines(watched(DARKER, new_lot(30)), clock)) == ["None of 34 batches stands out."]


def test_rules_that_are_off_say_nothing() -> None:
    assert watched(DARKER, asked=Asked(rules=frozenset())).watched.seen == ()
    only = watched(DARKER, asked=Asked(rules=frozenset({RuleKey.SLOW}))).watched.seen
    assert {seen.key for seen in only} == {RuleKey.SLOW}


def test_each_rule_has_a_letter_of_its_own() -> None:
    assert set(LETTERS) == set(RuleKey)
    assert len(set(LETTERS.values())) == len(RuleKey)


def test_the_picture_shows_the_same_signals_and_events() -> None:
    told = watched(np.concatenate([DARKER, np.full(5, 4.0)]), new_lot(34, "7"))
    chart = batch_chart(told, clock)
    first = chart.panels[0]
    beyond = {seen.at for seen in told.watched.seen if seen.key is RuleKey.BEYOND}
    assert beyond
    assert {at for at, letters in first.letters.items() if "A" in letters} == beyond
    assert [(flag.before, flag.words) for flag in chart.flags] == [(34, "new lot 7")]
    assert np.isnan(first.low[34])
    assert first.value == pytest.approx([batch.mean for batch in told.batches])
    assert "nan" not in control_chart_svg(chart)


def test_of_many_batches_the_latest_are_drawn_and_events_move_with_them() -> None:
    told = watched(np.full(LATEST + 20, 4.0), new_lot(10), new_lot(40))
    chart = batch_chart(told, clock)
    assert len(chart.labels) == LATEST
    assert chart.labels[-1] == clock(told.batches[-1].at)
    assert [flag.before for flag in chart.flags] == [20]


def test_single_plates_leave_out_the_panel_of_plates_within_batches() -> None:
    assert len(batch_chart(watched(STEADY, plates=1), clock).panels) == 2
    assert len(batch_chart(watched(STEADY), clock).panels) == 3


def test_shares_are_told_plate_by_plate_with_both_kinds_of_limits() -> None:
    told = watched(STEADY, new_lot(20), asked=Asked(share_keys=("dark_end", "nothing")))
    assert list(told.shares) == ["dark_end"]
    assert told.untold == ("nothing",)
    share = told.shares["dark_end"]
    assert share.baseline.plates == 75
    chart = share_chart(told, "dark_end", clock)
    assert len(chart.labels) == LATEST
    assert chart.panels[0].plain is not None
    assert (chart.panels[0].high >= chart.panels[0].plain[1] - 1e-9).all()
    assert [flag.before for flag in chart.flags] == [LATEST - 30]
    assert share_line("dark_end", share, clock).startswith("Dark ends: usually ")
    assert share_title("length_76.2") == "Fries of 76.2 mm or longer"
    assert share_title("length_50.8_by_mass") == "Fries of 50.8 mm or longer, by mass"


def test_too_few_batches_say_how_many_it_takes() -> None:
    with pytest.raises(BaselineTooShortError, match="5 at least"):
        watched(STEADY[:3])
    with pytest.raises(BaselineTooShortError):
        watched(STEADY, asked=Asked(measure="length"))


def test_each_fryer_is_a_line() -> None:
    plates: list[PlateSummary] = plates_of(STEADY[:2], np.random.default_rng(1))
    assert lines_of(plates) == {Line(kitchen="Quay", fryer="left"): tuple(plates)}
    assert Line(kitchen="", fryer="").words == "all plates"


def test_a_baseline_that_moves_in_itself_is_said_to() -> None:
    assert "It moved in itself" in baseline_line(watched(np.linspace(4, 7, 25)), clock)
    assert watched(np.linspace(4, 7, 25), new_lot(10)).neighbours is None


def test_a_baseline_that_is_calm_is_seldom_said_to_move() -> None:
    said = []
    for seed in range(300):
        rng = np.random.default_rng(seed)
        said.append(shift_watch(plates_of(np.zeros(25), rng, plates=1), (), Asked(), rng).baseline_moved)
    print(f"calm baselines said to move: {np.mean(said):.3f}")
    assert np.mean(said) <= 0.03
