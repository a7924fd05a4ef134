"""Whether a sheet that was found can be used: are enough of its patches free, and free of reflections."""

from grader.card.model import FoundSheet, SheetReadings
from grader.errors import CardUnusable

_FREE_SHARE = 0.75
"""Share of the patches that must be free: a fry over one or two of them is borne, the others still span the colours."""


def check_readings(sheet: FoundSheet, readings: SheetReadings) -> None:
    """Refuse a sheet of which too many patches are covered or reflect. Clipped patches are the exposure's matter.

    Raises
    ------
    CardUnusable
        `card_partly_hidden` or `card_glare`, whichever spoils more patches.
    """
    count = len(readings.patch_usable)
    hidden, shiny = int(readings.patch_hidden.sum()), int(readings.patch_shiny.sum())
    if hidden + shiny <= (1 - _FREE_SHARE) * count:
        return
    name = sheet.layout.name
    if hidden >= shiny:
        raise CardUnusable(
            f"Something covers {hidden} of the {count} colour patches of the {name}, or they lie outside the picture.",
            hint="Take away what lies on it, bring all of it into the picture, and photograph again.",
            code="card_partly_hidden",
        )
    raise CardUnusable(
        f"A reflection or a hard shadow lies on the {name}: {shiny} of its {count} colour patches can't be used.",
        hint="Move card or camera so that no lamp mirrors in it and no shadow falls on it, and photograph again.",
        code="card_glare",
    )
