"""What differs between two standards, field by field, in words."""

from collections.abc import Iterator, Mapping
from typing import Any

from grader.errors import dotted
from grader.standard.model import Standard
from grader.standard.writing import standard_content
from grader.toml_text import toml_value

Place = tuple[str | int, ...]


def changes(before: Standard, after: Standard) -> tuple[str, ...]:
    """Each field that differs, as in "scale.target_to 4.7 -> 4.5", those that are new last; the version is one too."""
    old, new = dict(_fields(standard_content(before))), dict(_fields(standard_content(after)))
    return tuple(
        f"{dotted(place)} {_told(old.get(place))} -> {_told(new.get(place))}"
        for place in dict.fromkeys([*old, *new])
        if old.get(place) != new.get(place)
    )


def _fields(value: Any, place: Place = ()) -> Iterator[tuple[Place, Any]]:
    """Every plain value with its place; a list of tables by the tables' numbers."""
    if isinstance(value, Mapping):
        for key, inner in value.items():
            yield from _fields(inner, (*place, key))
    elif isinstance(value, list) and all(isinstance(one, Mapping) for one in value):
        for index, inner in enumerate(value):
            yield from _fields(inner, (*place, index))
    else:
        yield place, value


def _told(value: object) -> str:
    return "left out" if value is None else toml_value(value)
