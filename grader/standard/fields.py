"""Reading the fields of a document one by one: faults are noted, never raised, so that all come out at once."""

import difflib
from collections.abc import Iterator, Mapping, Sequence
from typing import TypeGuard

from grader.errors import Fault, dotted
from grader.toml_lines import Place

_SHOWN = 40


class Faults:
    """The faults found so far; each is put on the line of its field, or of the nearest table around it."""

    def __init__(self, lines: Mapping[Place, int]) -> None:
        self._lines = lines
        self._found: list[Fault] = []

    def note(self, place: Place, message: str) -> None:
        """Note that the field at `place` is wrong."""
        around = (place[:depth] for depth in range(len(place), 0, -1))
        line = next((self._lines[p] for p in around if p in self._lines), None)
        self._found.append(Fault(line=line, field=dotted(place), message=message))

    def in_order(self) -> tuple[Fault, ...]:
        """All of them, in the order of the document."""
        return tuple(sorted(self._found, key=lambda fault: fault.line or 0))


class Table:
    """One table of a document. Every reading method hands back None where the field is missing or wrong.

    A table that is missing itself is noted once; reading from it notes nothing more.
    """

    def __init__(self, content: Mapping[str, object] | None, *, place: Place, faults: Faults) -> None:
        self._content = content
        self._faults = faults
        self._known: set[str] = set()
        self.place = place

    def has(self, key: str) -> bool:
        """Whether a field that may be left out is there."""
        self._known.add(key)
        return self._content is not None and key in self._content

    def text(self, key: str, *, at_most: int, may_be_empty: bool = False) -> str | None:
        """Some text on one line or several; not blank unless it may be."""
        value = self._get(key, "text in quotes")
        if not isinstance(value, str):
            self._wrong_kind(key, value, "text in quotes")
            return None
        if not may_be_empty and not value.strip():
            self.fault(key, "is blank")
        elif len(value) > at_most:
            self.fault(key, f"has {len(value)} characters; at most {at_most} can be shown")
        else:
            return value
        return None

    def choice(self, key: str, options: Sequence[str]) -> str | None:
        """One of a few words."""
        wanted = " or ".join(f'"{option}"' for option in options)
        value = self._get(key, wanted)
        if not isinstance(value, str):
            self._wrong_kind(key, value, wanted)
            return None
        if value not in options:
            self.fault(key, f"is {_shown(value)}; it can be {wanted}{_did_you_mean(value, options)}")
            return None
        return value

    def flag(self, key: str) -> bool | None:
        """A yes or no, written true or false."""
        value = self._get(key, "true or false")
        if not isinstance(value, bool):
            self._wrong_kind(key, value, "true or false")
            return None
        return value

    def number(self, key: str, low: float, high: float, *, unit: str) -> float | None:
        """A number from `low` to `high`, both included."""
        wanted = f"a number from {low:g} to {high:g} {unit}".rstrip()
        value = self._get(key, wanted)
        if not _is_number(value):
            self._wrong_kind(key, value, wanted)
        elif not low <= value <= high:
            told = f"{_shown(value)} {unit}".rstrip()
            self.fault(key, f"is {told}; it must be {wanted}")
        else:
            return float(value)
        return None

    def share(self, key: str, low: float, high: float) -> float | None:
        """A share by count; a percentage by mistake is named as such."""
        value = self._content.get(key) if self._content else None
        if _is_number(value) and 1 < value <= 100:
            self._known.add(key)
            self.fault(key, f"is {value:g}; shares are written 0 to 1, so {value:g} % is {value / 100:g}")
            return None
        return self.number(key, low, high, unit="")

    def lab(self, key: str) -> tuple[float, float, float] | None:
        """A colour in CIELAB."""
        wanted = "three numbers, [L*, a*, b*]"
        value = self._get(key, wanted)
        if not isinstance(value, list) or len(value) != 3 or not all(_is_number(v) for v in value):
            self._wrong_kind(key, value, wanted)
            return None
        L, a, b = value
        if not (0 <= L <= 100 and -128 <= a <= 128 and -128 <= b <= 128):
            self.fault(key, f"is {_shown(value)}; L* goes from 0 to 100, a* and b* from -128 to 128")
            return None
        return float(L), float(a), float(b)

    def table(self, key: str) -> "Table":
        """A table within this one."""
        value = self._get(key, f"a table, [{dotted((*self.place, key))}]")
        if not isinstance(value, dict):
            self._wrong_kind(key, value, "a table")
            value = None
        return Table(value, place=(*self.place, key), faults=self._faults)

    def tables(self, key: str) -> Iterator["Table"]:
        """The tables of a list of tables."""
        wanted = f"a list of tables, [[{dotted((*self.place, key))}]]"
        value = self._get(key, wanted)
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            self._wrong_kind(key, value, wanted)
            return
        for index, inner in enumerate(value):
            yield Table(inner, place=(*self.place, key, index), faults=self._faults)

    def fault(self, key: str, message: str) -> None:
        """Note a fault of one field of this table."""
        self._faults.note((*self.place, key), message)

    def close(self) -> None:
        """Note every field that nobody asked for: a misspelt one must not pass for one left out."""
        for key in self._content or ():
            if key not in self._known:
                self.fault(key, f"is no field of a standard{_did_you_mean(key, sorted(self._known))}")

    def _get(self, key: str, wanted: str) -> object:
        self._known.add(key)
        if self._content is None:
            return None
        if key not in self._content:
            self.fault(key, f"is missing; give {wanted}")
            return None
        return self._content[key]

    def _wrong_kind(self, key: str, value: object, wanted: str) -> None:
        if value is not None:
            self.fault(key, f"is {_shown(value)}; it must be {wanted}")


def _is_number(value: object) -> TypeGuard[int | float]:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _shown(value: object) -> str:
    text = f'"{value}"' if isinstance(value, str) else str(value).lower() if isinstance(value, bool) else str(value)
    return text if len(text) <= _SHOWN else f"{text[:_SHOWN]}..."


def _did_you_mean(word: str, known: Sequence[str]) -> str:
    close = difflib.get_close_matches(word, known, n=1)
    return f". Did you mean {close[0]}?" if close else ""
