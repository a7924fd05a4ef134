"""On which line of a TOML document each of its fields stands: the parser of the standard library doesn't tell."""

import tomllib
from collections.abc import Iterator

Place = tuple[str | int, ...]
"""Keys and positions in lists from the top of the document down to a field: `("scale", "steps", 1, "lab")`."""


def lines_of_fields(text: str) -> dict[Place, int]:
    """The line, from 1, on which each field and table of a document begins.

    The document is parsed again and again, one line longer each time: what is new was written since it last parsed.
    """
    lines = text.splitlines(keepends=True)
    found: dict[Place, int] = {}
    begins = 1
    for number in range(1, len(lines) + 1):
        try:
            so_far = tomllib.loads("".join(lines[:number]))
        except tomllib.TOMLDecodeError:
            continue  # in the middle of a list or a text over several lines
        for place in _places(so_far):
            found.setdefault(place, begins)
        begins = number + 1
    return found


def _places(value: object, place: Place = ()) -> Iterator[Place]:
    yield place
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _places(inner, (*place, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _places(inner, (*place, index))
