"""One thing checked of a bundle: whether it holds, in plain words."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import ParamSpec

from grader.errors import GraderError

Given = ParamSpec("Given")


class Holds(StrEnum):
    """What came of a check; OPEN is what could not be told, or holds for less than it might."""

    YES = "holds"
    NO = "does not hold"
    OPEN = "open"


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """`key` names what was checked, `words` what came out."""

    key: str
    holds: Holds
    words: str


def yes(key: str, words: str) -> Check:
    """It holds."""
    return Check(key=key, holds=Holds.YES, words=words)


def no(key: str, words: str) -> Check:
    """It doesn't."""
    return Check(key=key, holds=Holds.NO, words=words)


def left_open(key: str, words: str) -> Check:
    """It can't be told, or holds for less than it might."""
    return Check(key=key, holds=Holds.OPEN, words=words)


def guarded(
    key: str, check: Callable[Given, Iterator[Check]], *args: Given.args, **kwargs: Given.kwargs
) -> Iterator[Check]:
    """The same checks; what is refused on the way doesn't hold, in the refusal's words."""
    try:
        yield from check(*args, **kwargs)
    except GraderError as error:
        yield no(key, error.message.rstrip())
