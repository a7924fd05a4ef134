"""Who acts, and what that person may do: a value that is handed to whatever is done in the house's name."""

import inspect
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar, cast

from grader.errors import GraderError

P = ParamSpec("P")
R = TypeVar("R")


class Role(StrEnum):
    """What somebody is in the house; one person may have several."""

    COOK = "cook"
    QUALITY = "quality"
    AUDITOR = "auditor"


class Duty(StrEnum):
    """What a role lets somebody do; the words are those of the refusal."""

    GRADE = "grade plates"
    READ = "read the records"
    VERIFY = "check sealed files"
    STANDARDS = "keep standards"
    CARDS = "bring in cards' values"
    MENDING = "mend plates by hand"
    METHOD = "watch shifts and the method"
    EVIDENCE = "make evidence"
    HOUSE = "change the house's values and pair phones"


DUTIES: dict[Role, frozenset[Duty]] = {
    Role.COOK: frozenset({Duty.GRADE}),
    Role.QUALITY: frozenset(Duty),
    Role.AUDITOR: frozenset({Duty.READ, Duty.VERIFY}),
}


class NotAllowed(GraderError, PermissionError):
    """Somebody asked for what their role doesn't let them do; nothing was done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Actor:
    """Who acts: the login's name, empty where nobody logs in, and the roles; without any, nothing is allowed."""

    name: str
    roles: frozenset[Role]


HOUSE = Actor(name="", roles=frozenset(Role))
"""Whoever sits at the house computer itself, where no login is set up: all of it is theirs."""
NOBODY = Actor(name="", roles=frozenset())


def allow(actor: Actor, duty: Duty) -> bool:
    """Whether somebody may do it."""
    return any(duty in DUTIES[role] for role in actor.roles)


def require(actor: Actor, duty: Duty) -> None:
    """Go on only if somebody may do it.

    Raises
    ------
    NotAllowed
        Their roles don't let them.
    """
    if not allow(actor, duty):
        roles = [role.value for role in Role if duty in DUTIES[role]]
        hint = f"Nothing was done. It takes the role {' or '.join(roles)}; whoever keeps the house's roles can give it."
        raise NotAllowed(f"You may not {duty.value} here.", hint=hint)


def behind(duty: Duty, do: Callable[P, R], *, signs: str = "") -> Callable[Concatenate[Actor, P], R]:
    """The same deed, which from now on asks who acts, before anything else.

    `signs` is its argument that says who did it: a name, or one or more values with a field `by`. Whoever logged in
    signs with the login's name, whatever was typed; without a login what was typed counts.
    """

    @wraps(do)
    def asked(actor: Actor, /, *args: P.args, **kwargs: P.kwargs) -> R:
        require(actor, duty)
        if not signs or not actor.name:
            return do(*args, **kwargs)
        told = inspect.signature(do).bind(*args, **kwargs)
        told.arguments[signs] = _in_name_of(actor, told.arguments.get(signs))
        return do(*cast("Any", told.args), **cast("Any", told.kwargs))

    return asked


def _in_name_of(actor: Actor, told: Any) -> Any:
    if isinstance(told, (list, tuple)):
        return tuple(_in_name_of(actor, one) for one in told)
    return actor.name if told is None or isinstance(told, str) else replace(told, by=actor.name)
