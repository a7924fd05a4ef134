from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date
from threading import Event

import pytest

from grader.card import load_layouts
from grader.card_values import KnownValues, designed_values
from grader.grading import GradedPhoto
from grader.pages.components.grading import Grader
from tests.records import made_up


def nothing(_: float, __: str) -> None:
    """Tells nobody."""


def test_the_oldest_photos_are_forgotten(graded_names: list[str]) -> None:
    grader = Grader(kept=2)
    for name in ("a", "b", "a", "c", "a", "b"):
        grader.grade(f"{name}.jpg", name.encode(), made_up.standard(), nothing)
    assert graded_names == ["a.jpg", "b.jpg", "c.jpg", "b.jpg"]


def test_name_bytes_and_standard_all_count(graded_names: list[str]) -> None:
    grader = Grader()
    seen = grader.grade("a.jpg", b"1", made_up.standard(), nothing)
    assert grader.grade("a.jpg", b"1", made_up.standard(), nothing) is seen
    assert grader.grade("b.jpg", b"1", made_up.standard(), nothing).graded.name == "b.jpg"
    grader.grade("a.jpg", b"2", made_up.standard(), nothing)
    assert len(graded_names) == 3


def test_pixels_are_not_kept_but_the_picture_is(graded_names: list[str]) -> None:
    seen = Grader().grade("a.jpg", b"1", made_up.standard(), nothing)
    assert seen.graded.photo is None
    assert seen.picture is not None
    assert seen.picture.startswith(b"\xff\xd8")
    assert graded_names == ["a.jpg"]


@pytest.mark.parametrize("text", ["a*b", "<b>", "$x$", "[a](b)", ":smile:", "50 %"])
def test_literal_text_has_no_markdown_in_it(text: str) -> None:
    from grader.pages.components.plain_words import literal

    bare = literal(text)
    assert bare.replace("\\", "") == text
    assert all(bare[place - 1] == "\\" for place, letter in enumerate(bare) if letter in "*<>$[]():")


def test_a_card_measured_anew_is_graded_anew(graded_names: list[str]) -> None:
    grader, on = Grader(), date(2026, 11, 20)
    nobody = KnownValues(values=(), on=on)
    layout = load_layouts()[0]
    kept = designed_values(layout, run="K7Q2X", printed_on=on, expires_on=on, by="AB")
    for known in (nobody, nobody, KnownValues(values=(kept,), on=on)):
        grader.grade("a.jpg", b"1", made_up.standard(), nothing, known=known)
    assert len(graded_names) == 2


def test_a_plate_is_the_same_in_another_language_and_on_another_day(
    graded_names: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    grader, standard = Grader(), made_up.standard()
    first = grader.grade("a.jpg", b"1", standard, nothing, known=KnownValues(values=(), on=date(2026, 11, 20)))
    monkeypatch.setattr("grader.pages.components.grading.current_language", lambda: "es")
    later = grader.grade("a.jpg", b"1", standard, nothing, known=KnownValues(values=(), on=date(2026, 11, 21)))
    assert later.key != first.key
    assert later.plate_key == first.plate_key
    others = [("b.jpg", b"1", standard), ("a.jpg", b"2", standard), ("a.jpg", b"1", replace(standard, stage="held"))]
    assert first.plate_key not in {grader.grade(*other, nothing).plate_key for other in others}
    assert len(graded_names) == 5


def test_no_more_are_graded_at_once_than_may_and_what_is_remembered_waits_for_none(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    here, most, go_on = [], [], Event()

    def grade(_data: bytes, *, name: str, **_: object) -> GradedPhoto:
        here.append(name)
        most.append(len(here))
        assert name == "known.jpg" or go_on.wait(timeout=30)
        here.remove(name)
        return made_up.graded(name)

    monkeypatch.setattr("grader.pages.components.grading.grade_guarded", grade)
    grader, standard = Grader(at_once=2), made_up.standard()
    known = grader.grade("known.jpg", b"0", standard, nothing)
    with ThreadPoolExecutor(16) as people:
        waiting = [people.submit(grader.grade, f"{n}.jpg", b"1", standard, nothing) for n in range(16)]
        assert grader.grade("known.jpg", b"0", standard, nothing) is known
        go_on.set()
        assert {one.result(timeout=30).graded.name for one in waiting} == {f"{n}.jpg" for n in range(16)}
    assert max(most) == 2
