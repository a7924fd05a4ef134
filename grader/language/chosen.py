"""Which language is spoken now: one that was set for a piece of work, else what whoever shows the words asks for."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from grader.language.catalogues import LANGUAGES, SOURCE

_spoken: ContextVar[str | None] = ContextVar("spoken", default=None)
_askers: list[Callable[[], str]] = []


def ask_for_language(asker: Callable[[], str]) -> None:
    """From now on `asker` is asked each time; a page keeps the language with each visitor, in threads that change."""
    _askers[:] = [asker]


def current_language() -> str:
    """A key of `LANGUAGES`; English where nobody chose, or chose one that isn't there."""
    chosen = _spoken.get() or (_askers[0]() if _askers else SOURCE)
    return chosen if chosen in LANGUAGES else SOURCE


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Speak this language within a `with` block, whoever else is asked."""
    token = _spoken.set(language)
    try:
        yield
    finally:
        _spoken.reset(token)
