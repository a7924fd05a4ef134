"""Who may what: a cook grades, quality keeps the house, an auditor reads; nobody else does anything."""

from collections.abc import Sequence
from dataclasses import dataclass

import pytest

from grader.errors import GraderError
from grader.roles.model import DUTIES, HOUSE, NOBODY, Actor, Duty, NotAllowed, Role, allow, behind, require


def actor(*roles: Role) -> Actor:
    return Actor(name="ab@house.example", roles=frozenset(roles))


def test_a_cook_grades_and_nothing_else() -> None:
    cook = actor(Role.COOK)
    assert [duty for duty in Duty if allow(cook, duty)] == [Duty.GRADE]


def test_an_auditor_reads_and_verifies_and_nothing_else() -> None:
    assert {duty for duty in Duty if allow(actor(Role.AUDITOR), duty)} == {Duty.READ, Duty.VERIFY}


def test_quality_and_the_house_computer_may_all() -> None:
    for who in (actor(Role.QUALITY), HOUSE):
        assert all(allow(who, duty) for duty in Duty)


def test_who_has_two_roles_has_the_duties_of_both() -> None:
    both = actor(Role.COOK, Role.AUDITOR)
    assert {duty for duty in Duty if allow(both, duty)} == DUTIES[Role.COOK] | DUTIES[Role.AUDITOR]


def test_nobody_may_anything() -> None:
    assert not any(allow(NOBODY, duty) for duty in Duty)


def test_a_refusal_says_what_it_takes() -> None:
    with pytest.raises(NotAllowed, match="keep standards") as refused:
        require(actor(Role.COOK), Duty.STANDARDS)
    assert isinstance(refused.value, GraderError)
    assert "the role quality" in refused.value.hint
    with pytest.raises(NotAllowed, match="quality or auditor"):
        require(NOBODY, Duty.READ)


def test_a_deed_behind_a_duty_is_not_begun_by_who_may_not() -> None:
    done: list[int] = []
    deed = behind(Duty.CARDS, done.append)
    with pytest.raises(NotAllowed):
        deed(actor(Role.COOK, Role.AUDITOR), 1)
    assert done == []
    deed(actor(Role.QUALITY), 2)
    assert done == [2]


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    by: str
    words: str = ""


def test_whoever_logged_in_signs_with_the_logins_name_whatever_was_typed() -> None:
    def keep(number: int, note: Note, *, by: str = "") -> tuple[int, Note, str]:
        return number, note, by

    note, who = Note(by="ZZ", words="why"), actor(Role.QUALITY)
    signed = Note(by=who.name, words="why")
    assert behind(Duty.GRADE, keep, signs="note")(who, 1, note, by="ZZ") == (1, signed, "ZZ")
    assert behind(Duty.GRADE, keep, signs="note")(who, 1, note=note) == (1, signed, "")
    assert behind(Duty.GRADE, keep, signs="by")(who, 1, note, by="ZZ") == (1, note, who.name)
    assert behind(Duty.GRADE, keep, signs="by")(who, 1, note) == (1, note, who.name)


def test_each_of_several_values_is_signed() -> None:
    def keep(notes: Sequence[Note]) -> list[str]:
        return [note.by for note in notes]

    deed = behind(Duty.MENDING, keep, signs="notes")
    assert deed(actor(Role.QUALITY), [Note(by="ZZ"), Note(by="")]) == ["ab@house.example"] * 2
    assert deed(actor(Role.QUALITY), ()) == []
    assert deed(HOUSE, [Note(by="ZZ")]) == ["ZZ"]


def test_without_a_login_what_was_typed_counts() -> None:
    def keep(*, by: str) -> str:
        return by

    assert behind(Duty.GRADE, keep, signs="by")(HOUSE, by="AB") == "AB"
