"""What was made last, remembered by its key."""

from collections import OrderedDict
from collections.abc import Callable
from typing import Generic, TypeVar

Key = TypeVar("Key")
Value = TypeVar("Value")


class Recent(Generic[Key, Value]):
    """Makes each value once and keeps the `kept` that were asked for last."""

    def __init__(self, kept: int) -> None:
        self._kept = kept
        self._values: OrderedDict[Key, Value] = OrderedDict()

    def get(self, key: Key) -> Value | None:
        """The value of a key where it is kept."""
        if key in self._values:
            self._values.move_to_end(key)
        return self._values.get(key)

    def recall(self, key: Key, make: Callable[[], Value]) -> Value:
        """The value of a key; made where it isn't kept. What `make` raises is passed on, and nothing kept."""
        if key not in self._values:
            self._values[key] = make()
        self._values.move_to_end(key)
        while len(self._values) > self._kept:
            self._values.popitem(last=False)
        return self._values[key]
