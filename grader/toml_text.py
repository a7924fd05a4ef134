"""Values and tables as TOML text: whatever document is written, what is read from it comes back the same."""

import json
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any


def toml_document(content: Mapping[str, Any]) -> str:
    """A whole document: plain values before the tables of each table, which TOML wants, and else in their order."""
    return "\n".join(_lines(content, ())).lstrip("\n") + "\n"


def _lines(table: Mapping[str, Any], place: tuple[str, ...]) -> Iterator[str]:
    inner = {key: value for key, value in table.items() if isinstance(value, Mapping) or _is_tables(value)}
    for key, value in table.items():
        if key not in inner:
            yield toml_entry(key, value)
    for key, value in inner.items():
        name = ".".join((*place, key))
        if isinstance(value, Mapping):
            if not _only_tables(value):
                yield f"\n[{name}]"
            yield from _lines(value, (*place, key))
            continue
        for one in value:
            yield f"\n[[{name}]]"
            yield from _lines(one, (*place, key))


def _only_tables(table: Mapping[str, Any]) -> bool:
    """It needs no heading of its own: those of its tables name it."""
    return bool(table) and all(isinstance(value, Mapping) for value in table.values())


def _is_tables(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(one, Mapping) for one in value)


def toml_entry(key: str, value: object) -> str:
    """A line that gives a key its value."""
    return f"{key} = {toml_value(value)}"


def toml_value(value: object) -> str:
    """Text, a number, true or false, a day, or a list of these.

    Raises
    ------
    TypeError
        Anything else.
    """
    match value:
        case str():
            # JSON's escapes are all TOML's too; of what TOML wants escaped, JSON leaves only DEL as it is.
            return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
        case bool():
            return str(value).lower()
        case int() | float():
            return repr(value)
        case date():
            return value.isoformat()
        case Sequence():
            return "[" + ", ".join(toml_value(one) for one in value) + "]"
        case _:
            raise TypeError(f"{type(value).__name__} is nothing that is written to a document")
