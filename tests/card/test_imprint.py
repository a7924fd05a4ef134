from datetime import date

import pytest

from grader.card.imprint import DEFAULT_MONTHS, MOST_MONTHS, imprint_run, months_later
from grader.card.serial import Serial, SerialFaulty

DAY = date(2026, 11, 25)


def test_the_sheets_of_a_run_are_numbered_and_share_their_dates() -> None:
    run = imprint_run("K7Q2X", first=998, count=2, printed=DAY, months=6)
    assert [imprint.serial for imprint in run] == [Serial("K7Q2X", 998), Serial("K7Q2X", 999)]
    assert {(imprint.printed, imprint.renew_by) for imprint in run} == {(DAY, date(2027, 5, 25))}


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2027, 8, 31), 6, date(2028, 2, 29)),
        (date(2026, 12, 1), 1, date(2027, 1, 1)),
        (date(2026, 12, 31), 12, date(2027, 12, 31)),
        (date(2026, 1, 15), 11, date(2026, 12, 15)),
        (date(2026, 6, 30), 24, date(2028, 6, 30)),
    ],
)
def test_months_end_where_the_month_does(day: date, months: int, later: date) -> None:
    assert months_later(day, months) == later


def test_a_run_has_999_numbers() -> None:
    with pytest.raises(SerialFaulty, match="999 numbers"):
        imprint_run("K7Q2X", first=999, count=2, printed=DAY, months=6)


@pytest.mark.parametrize(("count", "months"), [(0, 6), (1, 0), (1, MOST_MONTHS + 1)])
def test_there_is_at_least_one_sheet_and_an_end(count: int, months: int) -> None:
    with pytest.raises(ValueError, match="months 1 to"):
        imprint_run("K7Q2X", first=1, count=count, printed=DAY, months=months)


def test_half_a_year_unless_told() -> None:
    assert DEFAULT_MONTHS == 6
