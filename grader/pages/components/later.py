"""Papers drawn when somebody asks for them, not whenever a page that offers them is shown."""

from collections.abc import Callable

from grader.language import current_language, speaking


def later(draw: Callable[[], bytes]) -> Callable[[], bytes]:
    """The same paper, drawn when it is fetched, in the language that is spoken now."""
    language = current_language()

    def drawn() -> bytes:
        with speaking(language):
            return draw()

    return drawn
