"""Canonical JSON: one text for one content, so that it can be hashed and signed.

Source: RFC 8785, "JSON Canonicalization Scheme": names sorted by UTF-16 code units, numbers as ECMAScript writes them,
nothing escaped that needn't be, UTF-8, no blanks.
"""

import hashlib
import json
import math
from typing import Any

from grader.evidence.errors import EvidenceRefused

LARGEST_WHOLE = 2**53 - 1
"""Beyond it whole numbers aren't exact for every reader (RFC 7493, I-JSON, 2.2)."""
_DEEPEST = 60
_ESCAPED = {'"': '\\"', "\\": "\\\\", "\b": "\\b", "\f": "\\f", "\n": "\\n", "\r": "\\r", "\t": "\\t"}


class NotCanonical(EvidenceRefused):
    """Content that has no canonical JSON, or a text that isn't canonical."""


def canonical(value: Any) -> bytes:
    """The one text of JSON content (dict, list, tuple, str, bool, int, float, None), UTF-8.

    Raises
    ------
    NotCanonical
        It holds something that JSON or RFC 8785 doesn't know: nan, a whole number above 2^53, half a character.
    """
    try:
        return "".join(_parts(value, 0)).encode()
    except UnicodeEncodeError as error:
        raise _refused("half a character (a lone surrogate)") from error


def digest(value: Any) -> str:
    """SHA-256 of the canonical text, in hexadecimal."""
    return hashlib.sha256(canonical(value)).hexdigest()


def read_canonical(data: bytes) -> Any:
    """The content of a canonical text.

    Raises
    ------
    NotCanonical
        It is no JSON, or another text of the same content: names twice, blanks, other numbers or another order.
    """
    try:
        value = json.loads(data.decode(), parse_constant=_no_constant, parse_int=_whole)
    except (ValueError, RecursionError) as error:
        raise NotCanonical("This is no JSON text.", hint="Take the file as it was made.") from error
    if canonical(value) != data:
        raise NotCanonical("This JSON isn't written the canonical way.", hint="Take the file as it was made.")
    return value


def _whole(text: str) -> int | float:
    """As every other reader of JSON: what is beyond 2^53 is a double."""
    return float(text) if len(text) > len(str(LARGEST_WHOLE)) or abs(int(text)) > LARGEST_WHOLE else int(text)


def _no_constant(name: str) -> float:
    raise _refused(name)


def _refused(what: str) -> NotCanonical:
    return NotCanonical(f"Canonical JSON can't hold {what}.", hint="Leave it out or write it otherwise.")


def _parts(value: Any, depth: int) -> list[str]:
    if depth > _DEEPEST:
        raise _refused(f"more than {_DEEPEST} levels")
    if isinstance(value, dict):
        return _object(value, depth)
    if isinstance(value, list | tuple):
        inner = [",".join("".join(_parts(one, depth + 1)) for one in value)]
        return ["[", *inner, "]"]
    return [_scalar(value)]


def _object(value: dict[Any, Any], depth: int) -> list[str]:
    if any(not isinstance(name, str) for name in value):
        raise _refused("a name that is no text")
    names = sorted(value, key=lambda name: name.encode("utf-16-be", "surrogatepass"))
    members = [f"{_text(name)}:{''.join(_parts(value[name], depth + 1))}" for name in names]
    return ["{", ",".join(members), "}"]


def _scalar(value: Any) -> str:
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, int):
        if abs(value) > LARGEST_WHOLE:
            return _number(_as_float(value))
        return str(value)
    if isinstance(value, float):
        return _number(value)
    raise _refused(f"a {type(value).__name__}")


def _as_float(value: int) -> float:
    """A whole number beyond 2^53 only where it is exactly a double, as a reader of JSON makes it one."""
    try:
        told = float(value)
    except OverflowError as error:
        raise _refused("a whole number so large") from error
    if int(told) != value:
        raise _refused(f"the whole number {value}, which is above 2^53 and not exact")
    return told


def _text(value: str) -> str:
    """RFC 8785, 3.2.2.2."""
    inner = "".join(_ESCAPED.get(c) or (_control(c) if c < " " else c) for c in value)
    return f'"{inner}"'


def _control(character: str) -> str:
    return f"\\u{ord(character):04x}"


def _number(value: float) -> str:
    """As ECMAScript writes a number: shortest digits that come back, laid out by the size (ECMA-262, 6.1.6.1.20)."""
    if not math.isfinite(value):
        raise _refused("nan or infinity")
    if value == 0:
        return "0"
    sign = "-" if value < 0 else ""
    digits, point = _shortest(abs(value))
    count = len(digits)
    if count <= point <= 21:
        return f"{sign}{digits}{'0' * (point - count)}"
    if 0 < point <= 21:
        return f"{sign}{digits[:point]}.{digits[point:]}"
    if -6 < point <= 0:
        return f"{sign}0.{'0' * -point}{digits}"
    exponent = f"e{point - 1:+d}"
    return f"{sign}{digits[0]}{'.' if count > 1 else ''}{digits[1:]}{exponent}"


def _shortest(value: float) -> tuple[str, int]:
    """The shortest digits d of which 0.d times 10 to the power of the second gives the number back."""
    mantissa, _, exponent = repr(value).partition("e")
    whole, _, part = mantissa.partition(".")
    part = "" if part == "0" else part
    digits = (whole + part).lstrip("0")
    leading = len(whole + part) - len(digits)
    point = len(whole) - leading + int(exponent or 0)
    return digits.rstrip("0"), point
