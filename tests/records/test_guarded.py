import pytest

from grader.records import guarded
from tests.records import made_up


def test_a_fault_of_the_program_refuses_the_photo(monkeypatch: pytest.MonkeyPatch) -> None:
    def burst(*_: object, **__: object) -> None:
        raise IndexError

    monkeypatch.setattr(guarded, "grade_photo", burst)
    graded = guarded.grade_guarded(b"abc", name="a.jpg", standard=made_up.standard())
    assert graded.refused
    assert graded.reasons[0].code == "program_fault"
    # FIPS 180-2, appendix B.1: SHA-256 of "abc".
    assert graded.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_without_pixels_keeps_what_was_found() -> None:
    kept = guarded.without_pixels(made_up.graded())
    assert kept.photo is None
    assert kept.plate is not None
    assert kept.plate.labels.size == 0
    assert [fry.number for fry in kept.plate.fries] == [1, 2, 3, 4, 5]
    assert guarded.without_pixels(made_up.refused()).refused
