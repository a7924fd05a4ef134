"""What rules may ask about: what was seen, what the line sheet says, what the house found of its lot and its cutter."""

from collections.abc import Mapping
from dataclasses import asdict

from grader.line.causes.model import Fact
from grader.line.house_notes import HouseNotes
from grader.line.sheet import FIGURES, LineSheet, range_of, told_fields

OIL_KG_PER_L = 0.9
"""Of frying oil, cold: 0.91 to 0.92 at room temperature (from memory), rounded for hot oil that was measured warm."""
_RATIOS = {"blanch_s": "blanch_time", "finish_s": "finish_time"}
_OVER = {"blanch_c": "blanch_c_over", "finish_c": "finish_c_over", "cut_mm": "cut_mm_over"}


def facts_of(
    seen: Mapping[str, bool], sheet: LineSheet, notes: HouseNotes, usual: LineSheet | None = None
) -> dict[str, Fact]:
    """All that is known, by name.

    A temperature or a cut stands besides as `..._over`: by how much it is beyond what is usual (below 0: beneath it, 0:
    within); a time as a ratio: 1 within, else to the nearer end of what is usual.
    """
    facts: dict[str, Fact] = {**seen, **told_fields(sheet)}
    facts |= {name: told for name, told in asdict(notes).items() if told is not None}
    for name, value in told_fields(sheet).items():
        if name in FIGURES:
            low, high, _ = range_of(name, usual)
            nearest = min(max(value, low), high)
            if name in _OVER:
                facts[_OVER[name]] = round(value - nearest, 2)
            elif name in _RATIOS:
                facts[_RATIOS[name]] = round(value / nearest, 3)
    if sheet.load_kg is not None and sheet.oil_l is not None:
        facts["load_per_oil"] = round(sheet.load_kg / (sheet.oil_l * OIL_KG_PER_L), 3)
    if sheet.oil_lowest_c is not None and sheet.finish_c is not None and sheet.oil_lowest_c <= sheet.finish_c:
        facts["oil_fell_c"] = sheet.finish_c - sheet.oil_lowest_c
    return facts
