"""Cards and their values, told to people."""

from datetime import date

import numpy as np

from grader.card.model import Layout
from grader.card.serial import Serial
from grader.card_values.model import CardValues
from grader.colour import ciede2000


def card_words(serial: Serial, values: CardValues | None) -> str:
    """A card and where its colours come from, in a line."""
    if values is None or not values.measured:
        return f"Card {serial}: colours as designed, this print run was not measured."
    how = {"instrument": "by instrument", "chart": "beside a chart"}[values.method]
    return (
        f"Card {serial}: colours measured {how} on {values.measured_on.isoformat()} by {values.measured_by},"
        f" to be used until {values.expires_on.isoformat()}."
    )


def values_lines(values: CardValues, layout: Layout, *, on: date) -> list[str]:
    """A measurement in a few lines."""
    designed = np.array([patch.lab for patch in layout.patches])
    off_de = ciede2000(values.patch_lab, designed)
    until = f"counts until {values.expires_on.isoformat()}" + (", and is old" if values.expired(on) else "")
    whose = f"{values.method} values of {values.measured_on.isoformat()} by {values.measured_by}"
    lines = [f"{values.run}, {layout.name}: {whose}; {until}"]
    if values.measured:
        lines.append(
            f"  the print is off its design by {np.median(off_de):.1f} (median) and {off_de.max():.1f} (most)"
            f" CIE 2000 units; stated u {np.median(values.patch_lab_u):.2f} CIELAB units"
        )
    adapted = sum(read.white == "D50" for read in values.as_read)
    if adapted:
        lines.append("  readings came for D50 and were adapted to D65 (Bradford); both are kept")
    if len(values.as_read) > 1:
        lines.append(f"  mean of {len(values.as_read)} cards")
    return lines
