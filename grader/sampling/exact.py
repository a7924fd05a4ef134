"""Exact limits for a share of which some units were found.

Source: C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404-413.
"""

from scipy.special import betaincinv


def lowest_share(found: int, of: int, *, confidence: float) -> float:
    """One-sided: with a smaller share than this, `found` or more of `of` would come less often than 1 - confidence."""
    return 0.0 if found == 0 else float(betaincinv(found, of - found + 1, 1 - confidence))


def highest_share(found: int, of: int, *, confidence: float) -> float:
    """One-sided: with a larger share than this, `found` or fewer of `of` would come less often than 1 - confidence."""
    return 1.0 if found == of else float(betaincinv(found + 1, of - found, confidence))


def share_interval(found: int, of: int, *, confidence: float = 0.95) -> tuple[float, float]:
    """Both together, each with half of what is left."""
    each = (1 + confidence) / 2
    return lowest_share(found, of, confidence=each), highest_share(found, of, confidence=each)
