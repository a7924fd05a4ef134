"""What is drawn from a lot and counted as one: a plate or a bag, as its user defines it, and why never a fry."""

import re

from grader.errors import GraderError

_NO_UNIT = re.compile(r"(fry|fries|french fr.*|strips?|chips?|pieces?|sticks?|wedges?|crumbs?)", re.IGNORECASE)


class UnitNotDrawnError(GraderError, ValueError):
    """What was named as the unit isn't what is drawn from the lot."""


def checked_unit(word: str, *, why: str) -> str:
    """The word for one sampling unit, without blanks around it.

    Raises
    ------
    UnitNotDrawnError
        It is blank, or a fry by any name: `why` not is told.
    """
    unit = " ".join(word.split())
    if not unit:
        raise UnitNotDrawnError("The unit has no name.", hint="Name what is drawn from the lot: plate, bag, carton.")
    if _NO_UNIT.fullmatch(unit):
        raise UnitNotDrawnError(
            f"A {unit} is not what is drawn from a lot. {why}",
            hint="Take what is drawn by chance as the unit: the plate, or the bag; say when one is nonconforming.",
        )
    return unit


def why_no_fry(*, fries: int, worth: float, at_most: float) -> str:
    """In words: `fries` of one plate tell as much as `worth` drawn one by one, and no plate as much as `at_most`."""
    return (
        f"Fries of one plate, or of one bag, are alike: they come of the same potatoes, cut and oil. {fries} of them "
        f"tell as much of the lot as {worth:.0f} drawn one by one, and no plate tells as much as {at_most:.0f}. A plan "
        f"that counts them as drawn one by one is wrong far more often than it says."
    )
