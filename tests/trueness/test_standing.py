"""What results may claim: absolute only with a measured card and a study in date, of the same print run and method."""

import re
from dataclasses import replace
from datetime import date, timedelta
from typing import Any, get_args

import numpy as np
import pytest

from grader.card_values import CardValues, Method
from grader.trueness.checks import Found, all_within, colour_checks, length_checks
from grader.trueness.standing import ColourLevel, LengthLevel, Standing, standing_of, weakest
from grader.trueness.study import Study, newest_for
from tests.trueness.made_up import LIGHTS, Off, study, values

DAY = date(2026, 12, 1)
METHOD = "1"
GOOD = Off(bias=0.1, pieces=0.2, photos=0.15, rest=0.2)


@pytest.fixture(scope="module")
def good() -> Study:
    return study(GOOD, np.random.default_rng(1))


def test_a_card_that_nobody_measured_shows_trends_only(good: Study) -> None:
    for card in (None, values("designed")):
        standing = standing_of(card, good, DAY, METHOD)
        assert standing.colour is ColourLevel.TREND_ONLY
        assert standing.level == "trend only"
        assert "Nobody measured" in standing.colour_reason
        assert standing.colour_lift


def test_a_measured_card_is_house_relative_until_there_is_a_study() -> None:
    standing = standing_of(values(), None, DAY, METHOD)
    assert standing.colour is ColourLevel.HOUSE_RELATIVE
    assert "K7Q2X" in standing.colour_reason
    assert "trueness plan" in standing.colour_lift
    assert standing.length is LengthLevel.AS_PRINTED


def test_a_measured_card_and_a_study_in_date_are_absolute(good: Study) -> None:
    for method in get_args(Method):
        standing = standing_of(values(method), replace(good, card_method=method), DAY, METHOD)
        assert standing.length is LengthLevel.ABSOLUTE
        assert (standing.colour is ColourLevel.ABSOLUTE) == (method != "designed")
    standing = standing_of(values(), good, DAY, METHOD)
    assert all(light in standing.colour_reason for light in LIGHTS)
    assert (standing.colour_lift, standing.length_lift) == ("", "")
    assert standing.short == "Colour: absolute · Length: absolute"
    assert "CIE 2000 units (95 %" in standing.colour_reason
    assert re.search(r"19 of 20 are off by -0\.\d to \+\d\.\d mm", standing.length_reason)


@pytest.mark.parametrize(
    ("card", "sheet", "day", "method", "told"),
    [
        (values(run="D3F4G"), "card-a6", DAY, METHOD, "print run K7Q2X, not with D3F4G"),
        (values(), "mat-a4", DAY, METHOD, "print run"),
        (values(), "card-a6", DAY, "2", "method 1, and this is method 2"),
        (values(expires_on=date(2029, 1, 1)), "card-a6", date(2027, 11, 26), METHOD, "to 2027-11-25"),
        (values(), "card-a6", date(2026, 11, 24), METHOD, "from 2026-11-25"),
    ],
)
def test_a_study_that_does_not_count_lifts_nothing(
    good: Study, card: CardValues, sheet: str, day: date, method: str, told: str
) -> None:
    standing = standing_of(card, replace(good, sheet=sheet), day, method)
    assert standing.colour is ColourLevel.HOUSE_RELATIVE
    assert standing.length is LengthLevel.AS_PRINTED
    assert told in standing.colour_reason
    assert told in standing.length_reason


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"card_method": "designed"}, "as designed, before it was measured"),
        ({"card_measured_on": date(2026, 10, 1)}, "as measured on 2026-10-01"),
    ],
)
def test_a_study_with_other_colours_of_the_card_lifts_its_lengths_only(
    good: Study, changes: dict[str, Any], told: str
) -> None:
    standing = standing_of(values(), replace(good, **changes), DAY, METHOD)
    assert standing.colour is ColourLevel.HOUSE_RELATIVE
    assert told in standing.colour_reason
    assert standing.length is LengthLevel.ABSOLUTE


def test_the_last_day_still_counts_and_the_next_does_not(good: Study) -> None:
    card = values(expires_on=date(2029, 1, 1))
    levels = [standing_of(card, good, good.expires_on + timedelta(days=n), METHOD).colour for n in (0, 1)]
    assert levels == [ColourLevel.ABSOLUTE, ColourLevel.HOUSE_RELATIVE]


def test_measured_colours_that_ran_out_show_trends_only(good: Study) -> None:
    standing = standing_of(values(expires_on=date(2026, 11, 30)), good, DAY, METHOD)
    assert standing.colour is ColourLevel.TREND_ONLY
    assert "2026-11-30" in standing.colour_reason
    assert standing.length is LengthLevel.ABSOLUTE  # a faded card is as long as before


@pytest.mark.parametrize(
    ("off", "found"),
    [
        (Off(bias=3.0, pieces=0.2, photos=0.15, rest=0.2), Found.BEYOND),
        (Off(bias=0.2, pieces=0.2, photos=0.45, rest=0.2), Found.NOT_SHOWN),
    ],
)
def test_a_study_that_found_too_much_or_showed_too_little_lifts_nothing(off: Off, found: Found) -> None:
    made = study(off, np.random.default_rng(2))
    assert found in {check.found for check in length_checks(made)}
    standing = standing_of(values(), made, DAY, METHOD)
    assert standing.length is LengthLevel.AS_PRINTED
    assert "bias of" in standing.length_reason
    assert ("cause" in standing.length_lift) == (found is Found.BEYOND)


def test_a_study_of_few_pieces_lifts_nothing() -> None:
    made = study(GOOD, np.random.default_rng(3), met_bars=19, met_chips=11)
    assert length_checks(made)[0].found is Found.NOT_SHOWN
    assert colour_checks(made)[0].found is Found.NOT_SHOWN
    assert standing_of(values(), made, DAY, METHOD).short == (
        "Colour: house-relative · Length: as the printed rule says"
    )


def test_one_bad_light_spoils_the_colours_but_not_the_lengths() -> None:
    made = study(GOOD, np.random.default_rng(4), light_off=(LIGHTS[1], -4.0))
    failed = [check for check in colour_checks(made) if check.found is Found.BEYOND]
    assert any(LIGHTS[1] in check.title for check in failed)
    standing = standing_of(values(), made, DAY, METHOD)
    assert standing.colour is ColourLevel.HOUSE_RELATIVE
    assert standing.length is LengthLevel.ABSOLUTE


def test_a_study_of_lengths_alone_says_nothing_of_colours() -> None:
    made = study(GOOD, np.random.default_rng(5), met_chips=0)
    assert not all_within(colour_checks(made))
    assert {check.found for check in colour_checks(made)} == {Found.NOT_SHOWN}
    assert standing_of(values(), made, DAY, METHOD).colour is ColourLevel.HOUSE_RELATIVE


def test_the_weakest_of_several_photos_speaks_for_the_batch(good: Study) -> None:
    strong, weak = standing_of(values(), good, DAY, METHOD), standing_of(None, None, DAY, METHOD)
    assert weakest([strong, None, strong]) == strong
    assert weakest([strong, weak]) == weak
    mixed = weakest([standing_of(values("designed"), good, DAY, METHOD), standing_of(values(), None, DAY, METHOD)])
    assert isinstance(mixed, Standing)
    assert (mixed.colour, mixed.length) == (ColourLevel.TREND_ONLY, LengthLevel.AS_PRINTED)
    assert weakest([None]) is None


def test_no_word_claims_that_food_is_safe_or_done(good: Study) -> None:
    standings = [
        standing_of(card, made, DAY, METHOD) for card in (None, values("designed"), values()) for made in (None, good)
    ]
    words = " ".join(f"{one.colour_reason} {one.colour_lift} {one.length_reason} {one.short}" for one in standings)
    assert not any(word in words.lower() for word in ("acrylamide", "safe", "cooked", "healthy"))


def test_the_newest_study_of_the_run_is_the_one_that_counts(good: Study) -> None:
    old, other = replace(good, made_on=date(2025, 1, 1)), replace(good, print_run="D3F4G", made_on=date(2026, 11, 30))
    again = replace(good, by="XY")

    def newest(studies: list[Study], on: date = DAY, sheet: str = "card-a6") -> Study | None:
        return newest_for(studies, sheet=sheet, print_run="K7Q2X", on=on)

    assert newest([old, good, other]) == good
    assert newest([good, again, old]) == again
    assert newest([old, good], on=date(2026, 11, 24)) == old
    assert newest([good, old], on=date(2020, 1, 1)) == old
    assert newest([old], sheet="mat-a4") is None
