"""Counts of a plate's shares as they are kept, made only when they are looked at.

A chart of colour looks at none of them, and thousands of plates with nine counts each are what such a chart would
otherwise mostly take its time with.
"""

import json
from collections.abc import Iterator, Mapping
from functools import cached_property

from grader.consistency.model import Count


class KeptShares(Mapping[str, Count]):
    """By the keys of limits, from the JSON text that is kept: found and counted, by key."""

    def __init__(self, text: str) -> None:
        self._text = text

    @cached_property
    def _counts(self) -> dict[str, Count]:
        told = json.loads(self._text)
        return {key: Count(k=min(found, counted), n=counted) for key, (found, counted) in told.items()}

    def __getitem__(self, key: str) -> Count:
        """The count of one limit."""
        return self._counts[key]

    def __iter__(self) -> Iterator[str]:
        """The limits' keys."""
        return iter(self._counts)

    def __len__(self) -> int:
        """How many limits there are."""
        return len(self._counts)
