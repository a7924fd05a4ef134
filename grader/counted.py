"""So many of something, in English words; the first of a list, and how many more there are."""

from collections.abc import Sequence


def counted(number: int, what: str) -> str:
    """1 batch, 2 batches, 0 plates."""
    if number == 1:
        return f"1 {what}"
    return f"{number} {what}{'es' if what.endswith('ch') else 's'}"


def first_of(words: Sequence[str], at_most: int = 5, *, between: str = ", ") -> str:
    """All of a list; of a longer one the first so many, and how many more: a, b and 3 more."""
    more = f" and {len(words) - at_most} more" if len(words) > at_most else ""
    return between.join(words[:at_most]) + more
