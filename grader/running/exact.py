"""Typed results as JSON that gives the same back bit by bit: what a run may go on from must not be rounded."""

import dataclasses
import types
import typing
from collections.abc import Mapping, Sequence
from datetime import date
from enum import Enum
from functools import cache
from typing import Any, TypeVar

import numpy as np

from grader.arrays import frozen

Kind = TypeVar("Kind")


def as_json(value: Any) -> Any:  # noqa: PLR0911 - one case a kind
    """A value made of dataclasses, arrays, enums, days and plain values, as JSON can hold it (nan included)."""
    match value:
        case Enum():
            return value.value
        case np.ndarray():
            return {"shape": value.shape, "kind": value.dtype.str, "values": value.ravel().tolist()}
        case np.generic():
            return value.item()
        case date():
            return value.isoformat()
        case Mapping():
            return {key: as_json(one) for key, one in value.items()}
        case str() | int() | float() | None:
            return value
        case Sequence():
            return [as_json(one) for one in value]
    return {field.name: as_json(getattr(value, field.name)) for field in dataclasses.fields(value)}


def from_json(kind: type[Kind], told: Any) -> Kind:
    """The value of this type again.

    Raises
    ------
    ValueError, TypeError, KeyError
        It isn't what `as_json` made of such a value.
    """
    found = _read(kind, told)
    return typing.cast("Kind", found)


def _read(kind: Any, told: Any) -> Any:  # noqa: PLR0911 - one case a kind
    parts = typing.get_args(kind)
    match typing.get_origin(kind) or kind:
        case typing.Union | types.UnionType:
            (some,) = (part for part in parts if part is not type(None))
            return None if told is None else _read(some, told)
        case typing.Literal:
            return told
        case np.ndarray:
            return frozen(np.array(told["values"], np.dtype(told["kind"])).reshape(told["shape"]))
        case builtin if builtin is tuple and parts[1:] == (...,):
            return tuple(_read(parts[0], one) for one in told)
        case builtin if builtin is tuple:
            return tuple(_read(part, one) for part, one in zip(parts, told, strict=True))
        case plain if plain in {str, int, float, bool}:
            return plain(told)
        case day if day is date:
            return date.fromisoformat(told)
        case enum if issubclass(enum, Enum):
            return enum(told)
        case whole:
            hints = _hints(whole)
            return whole(**{name: _read(hints[name], one) for name, one in told.items()})


@cache
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)
