"""Words put between marks of Rich."""

from rich import markup

from grader.printable import printable


def escape(words: str) -> str:
    """Words on one line that stand as they are, whatever they hold: no mark, and nothing that a terminal obeys."""
    return markup.escape(printable(words))
