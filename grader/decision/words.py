"""The words of a decision: sentences for a cook, figures as people write them. Colour says how fries look, no more."""

from collections.abc import Sequence

from grader.decision.terms import Terms
from grader.standard.model import MM_PER_INCH, ColourScale

LAY_FLAT = "Lay the fries flat and apart so that both ends show, and photograph again."
SHOW_FLESH = "Lay the fries so that their cut sides show, and photograph again."
MORE_FRIES = "Photograph more fries of this batch."
BETTER_LIGHT = (
    "More plates won't settle it, the doubt is in the light and the card: photograph again in even, white light."
)
TOO_NEAR = "A few more plates won't settle it: it lies too near the limit to tell."


def photograph_more(plates: int) -> str:
    """What to do where more plates settle it."""
    return f"Photograph {plates} more plate{'s' if plates > 1 else ''}."


def not_all_settled(remedy: str) -> str:
    """The same where it settles some limits and others stay undecided."""
    return f"{remedy.removesuffix('.')}; that won't settle all of it."


def percent(share: float) -> str:
    """A share as people say it."""
    return f"{100 * share:.0f} %"


def length(mm: float, inches: float | None = None) -> str:
    """A length in mm, and in inches where the standard gives it so or it is a whole number of eighths."""
    eighths = mm / MM_PER_INCH * 8
    if inches is None and abs(eighths - round(eighths)) < 1e-6:
        inches = round(eighths) / 8
    return f"{mm:g} mm" if inches is None else f"{mm:g} mm ({inches:g} in)"


def whereabouts(scale: ColourScale, place: float) -> str:
    """A place on the scale by the names of its steps."""
    names = [step.name for step in scale.steps]
    nearest = round(place)
    if place < 1 - 0.25:
        return f"paler than {names[0]}"
    if place > len(names) + 0.25:
        return f"darker than {names[-1]}"
    if abs(place - nearest) <= 0.25:
        return f"about {names[nearest - 1]}"
    return f"between {names[int(place) - 1]} and {names[int(place)]}"


def listed(things: Sequence[str]) -> str:
    """A, b and c."""
    return things[0] if len(things) == 1 else f"{', '.join(things[:-1])} and {things[-1]}"


def rule(terms: Terms) -> str:
    """The levels at which it is decided, as the arithmetic tells them."""
    asked = "claim: " if terms.claim else ""
    return f"{asked}pass from {terms.levels.pass_from:g}, fail to {terms.levels.fail_to:.2g}"
