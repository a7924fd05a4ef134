"""The house's file of roles: read, or refused with all its faults at once."""

from pathlib import Path

import pytest

from grader.errors import DocumentFaulty
from grader.roles.claims import actor_of
from grader.roles.house_file import house_roles, read_roles, roles_path
from grader.roles.login import login_options
from grader.roles.model import Role

FILE = """[people]
"Ana@House.example" = ["cook"]
"ben@house.example" = ["quality", "auditor"]
"""


def test_people_have_the_roles_that_the_file_gives() -> None:
    roles = read_roles(FILE, name="roles.toml")
    ana = actor_of({"email": "ana@house.example", "email_verified": True}, roles)
    assert ana.name == "ana@house.example"
    assert ana.roles == {Role.COOK}
    assert actor_of({"email": "BEN@house.example"}, roles).roles == {Role.QUALITY, Role.AUDITOR}


@pytest.mark.parametrize(
    "claims",
    [
        {},
        {"email": ""},
        {"email": None},
        {"email": ["ben@house.example"]},
        {"email": "eve@house.example"},
        {"email": "ben@house.example", "email_verified": False},
        {"email": "ben@house.example", "email_verified": "false"},
        {"email": "ben@house.example", "email_verified": None},
        {"email": "ben@house.example", "email_verified": []},
        {"email": "ben@house.example", "email_verified": {"yes": True}},
        {"email": "ben@house.example", "email_verified": 1},
        {"name": "ben@house.example", "sub": "ben@house.example"},
    ],
)
def test_whoever_is_not_named_for_sure_has_no_role(claims: dict[str, object]) -> None:
    assert not actor_of(claims, read_roles(FILE, name="roles.toml")).roles


def test_another_claim_may_name_people_and_is_taken_to_the_letter() -> None:
    roles = read_roles('claim = "sub"\n[people]\nA7 = ["quality"]\n', name="roles.toml")
    assert actor_of({"sub": "A7", "email_verified": False}, roles).roles == {Role.QUALITY}
    assert not actor_of({"sub": "a7"}, roles).roles


def test_all_faults_are_told_at_once_with_their_lines() -> None:
    text = """colour = "red"
[people]
"ana@house.example" = ["chef"]
"ANA@house.example" = []
"ben" = "quality"
"""
    with pytest.raises(DocumentFaulty) as refused:
        read_roles(text, name="roles.toml")
    assert [(fault.line, fault.field) for fault in refused.value.faults] == [
        (1, "colour"),
        (2, "people"),
        (3, "people.ana@house.example"),
        (4, "people.ANA@house.example"),
        (4, "people.ANA@house.example"),
        (5, "people.ben"),
        (5, "people.ben"),
    ]
    told = str(refused.value)
    for words in ("chef", "twice", "no mail address", "nobody of quality", "nobody can log in"):
        assert words in told


@pytest.mark.parametrize("text", ["", "people = 3", "[people]", "[people", 'claim = ""\n[people]\na = ["quality"]'])
def test_a_file_that_names_nobody_is_refused(text: str) -> None:
    with pytest.raises(DocumentFaulty):
        read_roles(text, name="roles.toml")


def test_without_the_file_nobody_logs_in(tmp_path: Path) -> None:
    assert house_roles(tmp_path) is None


def test_a_file_that_is_no_text_lets_nobody_in(tmp_path: Path) -> None:
    roles_path(tmp_path).write_bytes(b"\xff\xfe\x00")
    with pytest.raises(DocumentFaulty):
        house_roles(tmp_path)


def test_the_login_is_told_to_streamlit_only_where_it_is_set_up(tmp_path: Path) -> None:
    assert login_options(tmp_path) == []
    (tmp_path / "login.toml").write_text("[auth]\n")
    assert login_options(tmp_path) == ["--secrets.files", str(tmp_path / "login.toml")]
