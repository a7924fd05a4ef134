"""Serials: what is written, what is misread, what a slip leads to."""

from itertools import combinations

import numpy as np
import pytest

from grader.card.serial import (
    MOST_PER_RUN,
    SIGNS,
    Serial,
    SerialFaulty,
    draw_run,
    parse_payload,
    parse_serial,
    serial_payload,
)


def some_serials() -> list[Serial]:
    generator = np.random.default_rng(20)
    return [Serial(draw_run(generator), int(number)) for number in generator.integers(1, MOST_PER_RUN + 1, 40)]


def is_taken(text: str) -> bool:
    try:
        parse_serial(text)
    except SerialFaulty:
        return False
    return True


def test_a_serial_is_written_and_read_back() -> None:
    assert str(Serial("K7Q2X", 14)) == "K7Q2X-014-T"
    for serial in some_serials():
        assert parse_serial(str(serial)) == serial


@pytest.mark.parametrize("typed", ["k7q2x-014-t", " K7Q2X 014 T ", "K7Q2X014T", "K7-Q2X-0 14T\n"])
def test_capitals_spaces_and_hyphens_do_not_matter(typed: str) -> None:
    assert parse_serial(typed) == Serial("K7Q2X", 14)


def test_the_check_sign_is_the_weighted_sum_by_hand() -> None:
    # 2 has the value 0, 3 the value 1: 1 * 1 + 8 * 2 = 17, the sign number 17 counted from 0.
    assert str(Serial("32222", 2)) == f"32222-002-{SIGNS[17]}"


def test_every_single_wrong_sign_is_found() -> None:
    for serial in some_serials():
        written = str(serial).replace("-", "")
        for place in range(len(written)):
            for sign in "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ":
                if sign != written[place]:
                    assert not is_taken(written[:place] + sign + written[place + 1 :])


def test_every_swap_within_run_or_number_is_found() -> None:
    for serial in some_serials():
        written = list(str(serial).replace("-", ""))
        for one, other in [*combinations(range(5), 2), *combinations(range(5, 8), 2)]:
            if written[one] != written[other]:
                swapped = list(written)
                swapped[one], swapped[other] = swapped[other], swapped[one]
                assert not is_taken("".join(swapped))


def test_signs_that_look_alike_are_not_both_among_them() -> None:
    for alike in ("0O", "1IL", "2Z", "5S", "8B", "UV"):
        assert sum(sign in SIGNS for sign in alike) <= 1
    assert not set(SIGNS) & set("AEIOUY")
    # Every one of them packs into a QR code's alphanumeric mode (ISO/IEC 18004).
    assert set(SIGNS) <= set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")


@pytest.mark.parametrize(
    "typed", ["", "K7Q2X", "K7Q2X-014", "K7Q2X-000-X", "K7O2X-014-T", "K7Q2X-014-T-T", "K7Q2X-٠١٤-T"]
)
def test_what_is_no_serial_is_told_so(typed: str) -> None:
    with pytest.raises(SerialFaulty) as caught:
        parse_serial(typed)
    assert "sign" in caught.value.hint or "Numbers" in caught.value.hint


def test_a_slip_is_told_as_a_slip() -> None:
    with pytest.raises(SerialFaulty, match="slip"):
        parse_serial("K7Q2X-015-T")


@pytest.mark.parametrize(("run", "number"), [("K7Q2", 1), ("K7Q2O", 1), ("k7q2x", 1), ("K7Q2X", 0), ("K7Q2X", 1000)])
def test_no_serial_is_made_of_another_run_or_number(run: str, number: int) -> None:
    with pytest.raises(SerialFaulty):
        Serial(run, number)


def test_a_run_is_drawn_by_the_generator_alone() -> None:
    assert draw_run(np.random.default_rng(1)) == draw_run(np.random.default_rng(1))
    runs = {draw_run(np.random.default_rng(k)) for k in range(200)}
    assert len(runs) == 200
    assert set("".join(runs)) == set(SIGNS)


def test_a_code_holds_layout_and_serial() -> None:
    payload = serial_payload("card-148", Serial("K7Q2X", 14))
    assert payload == "CARD-148 K7Q2X-014-T"
    assert parse_payload(payload) == ("card-148", Serial("K7Q2X", 14))
    for other in ("", "https://example.org", "CARD-148", "CARD-148 K7Q2X-015-T"):
        with pytest.raises(SerialFaulty):
            parse_payload(other)
