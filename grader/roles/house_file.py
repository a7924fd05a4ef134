"""The house's file of roles, `roles.toml` in its own data: who has which. Where it is there, everybody must log in.

claim = "email"                      # what the login calls a person by; this is the usual

[people]
"ana@quayside.example" = ["cook"]
"ben@quayside.example" = ["quality", "auditor"]
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from grader.errors import DocumentFaulty, Fault
from grader.places import home_folder
from grader.roles.model import Role
from grader.toml_lines import Place, lines_of_fields

FILE = "roles.toml"
USUAL_CLAIM = "email"
_HINT = "Correct the file; until then nobody can log in."


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseRoles:
    """Which claim of a login names a person, and the roles of each, by the name as `told_as` writes it."""

    claim: str
    people: Mapping[str, frozenset[Role]]


def roles_path(folder: Path | None = None) -> Path:
    """Where the file lies, or would lie."""
    return (folder or home_folder()) / FILE


def house_roles(folder: Path | None = None) -> HouseRoles | None:
    """The house's roles; None where it has no such file, and then nobody logs in.

    Raises
    ------
    DocumentFaulty
        With every fault of the file.
    """
    path = roles_path(folder)
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return None
    try:
        return read_roles(data.decode("utf-8-sig"), name=path.name)
    except UnicodeDecodeError as error:
        fault = Fault(line=None, field="file", message="is no UTF-8 text")
        raise DocumentFaulty(path.name, (fault,), hint=_HINT) from error


def read_roles(text: str, *, name: str) -> HouseRoles:
    """Roles from the text of the file; `name` is what it is called in the message.

    Raises
    ------
    DocumentFaulty
        With every fault of the file, in the order of its lines.
    """
    try:
        told = tomllib.loads(text)
    except ValueError as error:
        raise DocumentFaulty(name, (Fault(line=None, field="file", message=str(error)),), hint=_HINT) from error
    found = list(_faults(told))
    if found:
        lines = lines_of_fields(text)
        faults = [
            Fault(line=lines.get(place), field=".".join(map(str, place)), message=words) for place, words in found
        ]
        raise DocumentFaulty(name, tuple(sorted(faults, key=lambda one: one.line or 0)), hint=_HINT)
    claim = str(told.get("claim", USUAL_CLAIM))
    people = {told_as(claim, who): frozenset(map(Role, roles)) for who, roles in told["people"].items()}
    return HouseRoles(claim=claim, people=people)


def told_as(claim: str, who: str) -> str:
    """A person's name for looking it up: mail addresses don't care for capitals, other claims do."""
    return who.strip().casefold() if claim == USUAL_CLAIM else who.strip()


def _faults(told: Mapping[str, Any]) -> Iterator[tuple[Place, str]]:
    for key in told.keys() - {"claim", "people"}:
        yield (key,), "is no field of this file; it has claim and people"
    claim = told.get("claim", USUAL_CLAIM)
    if not isinstance(claim, str) or not claim.strip():
        yield ("claim",), 'is the name of a claim, such as "email"'
        return
    people = told.get("people")
    if not isinstance(people, dict) or not people:
        yield ("people",), "is a table with a line for each person"
        return
    seen: set[str] = set()
    for who, roles in people.items():
        place = ("people", who)
        known = told_as(claim, who)
        if known in seen:
            yield place, "is there twice"
        seen.add(known)
        if not known:
            yield place, "names nobody"
        if claim == USUAL_CLAIM and known.count("@") != 1:
            yield place, "is no mail address; or name another claim"
        yield from ((place, words) for words in _role_faults(roles))
    if not any(isinstance(roles, list) and Role.QUALITY in roles for roles in people.values()):
        yield ("people",), "has nobody of quality: nobody could keep a standard"


def _role_faults(roles: object) -> Iterator[str]:
    known = ", ".join(role.value for role in Role)
    if not isinstance(roles, list) or not roles:
        yield f"has a list of roles in brackets: {known}"
        return
    for role in roles:
        if role not in list(Role):
            yield f"{role!r} is no role; there are {known}"
