"""Numbers as they go on disk."""

import math
from collections.abc import Iterable
from typing import Any

from grader.fries.model import Measured

Json = dict[str, Any]

DECIMALS = 4

NOT_AS_WRITTEN = (OSError, ValueError, TypeError, AttributeError, LookupError, ArithmeticError, RecursionError)
"""What reading a file of results can raise whose content somebody changed: it isn't what this program wrote."""


def number(value: float | None) -> float | None:
    """A number as it goes on disk: rounded far below any uncertainty, None where there is none (JSON knows no nan)."""
    return None if value is None or not math.isfinite(value) else round(float(value), DECIMALS)


def numbers(values: Iterable[float] | None) -> list[float | None] | None:
    """Several of them."""
    return None if values is None else [number(value) for value in values]


def measured_pair(name: str, measured: Measured | None) -> Json:
    """A measured value and its standard uncertainty, as a pair of fields."""
    if measured is None:
        return {name: None, f"{name}_u": None}
    return {name: number(measured.value), f"{name}_u": number(measured.u)}
