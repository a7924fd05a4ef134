from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from grader.serving.pairing import CODE_LASTS, PAIRED_AT_MOST, Pairings, Place

NOW = datetime(2026, 10, 6, 17, 0, tzinfo=UTC)
DINNER = Place(kitchen="Quay", zone="Europe/Lisbon", shift="dinner", until=NOW + timedelta(hours=6))


class Clock:
    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def pairings(tmp_path: Path, clock: Clock) -> Pairings:
    return Pairings(tmp_path / "house" / "phones.json", clock=clock)


def test_a_code_pairs_one_phone_once(pairings: Pairings) -> None:
    code = pairings.new_code(DINNER)
    token = pairings.pair(code)
    assert pairings.place(token) == DINNER
    assert pairings.pair(code) is None


def test_nobody_else_is_paired(pairings: Pairings) -> None:
    pairings.pair(pairings.new_code(DINNER))
    for guess in (None, "", "x", "../phones.json"):
        assert pairings.place(guess) is None
        assert guess is None or pairings.pair(guess) is None


def test_a_code_grows_old(pairings: Pairings, clock: Clock) -> None:
    code = pairings.new_code(DINNER)
    clock.now += CODE_LASTS
    assert pairings.pair(code) is None


def test_a_shift_ends(pairings: Pairings, clock: Clock) -> None:
    token = pairings.pair(pairings.new_code(DINNER))
    clock.now = DINNER.until
    assert pairings.place(token) is None
    assert pairings.phones() == ()


def test_phones_stay_paired_over_a_restart_and_the_file_holds_no_token(
    pairings: Pairings, tmp_path: Path, clock: Clock
) -> None:
    token = pairings.pair(pairings.new_code(DINNER))
    assert token is not None
    file = tmp_path / "house" / "phones.json"
    assert token not in file.read_text()
    assert file.stat().st_mode & 0o077 == 0
    assert Pairings(file, clock=clock).place(token) == DINNER
    file.write_text("spoilt")
    assert Pairings(file, clock=clock).place(token) is None


def test_a_kitchens_phones_are_let_go(pairings: Pairings) -> None:
    token = pairings.pair(pairings.new_code(DINNER))
    assert pairings.unpair_all("Hill") == 0
    assert pairings.unpair_all("Quay") == 1
    assert pairings.place(token) is None


def test_guessing_ends_all_open_codes(pairings: Pairings) -> None:
    code = pairings.new_code(DINNER)
    for guess in range(20):
        assert pairings.pair(str(guess)) is None
    assert pairings.pair(code) is None


def test_there_is_an_end_to_phones(pairings: Pairings) -> None:
    tokens = [pairings.pair(pairings.new_code(DINNER)) for _ in range(PAIRED_AT_MOST + 1)]
    assert None not in tokens[:-1]
    assert tokens[-1] is None
