"""Single values as TOML text: whatever document is written, what is read from it comes back the same."""

import json
from collections.abc import Sequence
from datetime import date


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
