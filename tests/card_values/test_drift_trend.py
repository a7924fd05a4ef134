"""When a card is to be printed anew: straight lines with known answers, and drawn ones for the doubt."""

from datetime import date, timedelta

import numpy as np
import pytest

from grader.card_values.drift_trend import LIMIT_DE, Condition, DriftPoint, drift_trend

FIRST = date(2026, 1, 5)


def points(*day_and_de: tuple[int, float], u: float = 0.2) -> list[DriftPoint]:
    return [DriftPoint(day=FIRST + timedelta(days=day), mean_de=de, mean_de_u=u) for day, de in day_and_de]


def test_one_comparison_tells_how_it_is_and_no_trend() -> None:
    trend = drift_trend(points((0, 0.3)))
    assert trend.condition is Condition.AS_NEW
    assert (trend.now_de, trend.a_year_de, trend.anew_by) == (0.3, None, None)
    assert trend.words == "as good as the kept one"


def test_beyond_the_limit_it_is_to_be_printed_anew_at_once() -> None:
    trend = drift_trend(points((0, LIMIT_DE + 0.1)))
    assert trend.condition is Condition.PRINT_ANEW
    assert trend.anew_by == FIRST
    assert trend.words == "print anew now"


def test_a_card_that_stays_as_it_is() -> None:
    trend = drift_trend(points((0, 0.3), (60, 0.25), (120, 0.35), (180, 0.3)))
    assert trend.condition is Condition.AS_NEW
    assert trend.anew_by is None
    assert trend.a_year_de == pytest.approx(0.05, abs=0.1)


def test_a_steady_fading_reaches_the_limit_before_the_line_itself_does() -> None:
    """0.2 at first, 0.004 a day: the line is at 1.5 on day 325, and the doubt brings the day forward."""
    trend = drift_trend(points(*((day, 0.2 + 0.004 * day) for day in range(0, 151, 30)), u=0.1))
    assert trend.condition is Condition.FADING
    assert trend.a_year_de == pytest.approx(0.004 * 365.25)
    assert trend.now_de == pytest.approx(0.8)
    assert trend.anew_by is not None
    assert FIRST + timedelta(days=220) < trend.anew_by < FIRST + timedelta(days=325)
    assert trend.words == f"fading: print anew by {trend.anew_by.isoformat()}"


def test_the_surer_the_comparisons_the_later_the_day() -> None:
    def day(u: float) -> date:
        anew_by = drift_trend(points(*((day, 0.2 + 0.004 * day) for day in range(0, 151, 30)), u=u)).anew_by
        assert anew_by is not None
        return anew_by

    assert day(0.06) > day(0.1) > day(0.15)


def test_the_order_of_the_comparisons_does_not_matter() -> None:
    in_order = points((0, 0.2), (50, 0.5), (100, 0.7), (150, 1.0))
    assert drift_trend(in_order[::-1]) == drift_trend(in_order)


def test_a_line_that_may_be_there_already_is_now() -> None:
    trend = drift_trend(points((0, 0.2), (100, 0.8), (200, 1.4)))
    assert trend.condition is Condition.PRINT_ANEW
    assert trend.anew_by == FIRST + timedelta(days=200)


def test_a_fading_too_slow_to_see_the_end_of() -> None:
    trend = drift_trend(points(*((day, 0.1 + 0.0004 * day) for day in range(0, 1501, 50)), u=0.05))
    assert trend.condition is Condition.AS_NEW
    assert trend.a_year_de is not None
    assert trend.a_year_de_u is not None
    assert trend.a_year_de > 1.645 * trend.a_year_de_u


def test_three_photos_of_one_day_make_no_line() -> None:
    assert drift_trend(points((0, 0.3), (0, 0.4), (0, 0.2))).a_year_de is None


def test_without_a_comparison_there_is_no_trend() -> None:
    with pytest.raises(ValueError, match="at least one"):
        drift_trend([])


def test_stated_doubt_of_the_slope_covers_drawn_lines() -> None:
    generator = np.random.default_rng(3)
    days = np.arange(0, 301, 30)
    inside = 0
    for _ in range(400):
        drawn = 0.3 + 0.002 * days + generator.normal(0, 0.2, len(days))
        trend = drift_trend(points(*zip(days.tolist(), drawn.tolist(), strict=True)))
        assert trend.a_year_de is not None
        assert trend.a_year_de_u is not None
        inside += abs(trend.a_year_de - 0.002 * 365.25) < 1.96 * trend.a_year_de_u
    assert 0.92 < inside / 400 <= 1.0
