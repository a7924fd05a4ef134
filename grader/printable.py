"""Words from files of strangers, before a terminal shows them."""

import unicodedata

_UNKNOWN = "\N{REPLACEMENT CHARACTER}"


def printable(line: str) -> str:
    """One line with U+FFFD for all that would not stand in it as a sign.

    So no end of a line, order to the terminal or turn of the reading direction puts a stranger's words where the
    program's are expected.
    """
    return "".join(sign if sign.isprintable() or unicodedata.category(sign) == "Zs" else _UNKNOWN for sign in line)
