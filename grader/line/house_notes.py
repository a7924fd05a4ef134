"""What the house found of its lot, its cutter and its fryers, beside the line sheet: what likely causes ask about."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from grader.language import said
from grader.line.sheet import SheetError


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseNotes:
    """What was found; None where nobody looked. `NOTES` says what each means."""

    new_lot: bool | None = None
    mixed_lots: bool | None = None
    skin_on: bool | None = None
    growing_stress: bool | None = None
    storage_c: float | None = None
    storage_weeks: float | None = None
    dry_matter_percent: float | None = None
    lot_darker_steps: float | None = None
    lot_sugar_ends: float | None = None
    kept_lot_right: bool | None = None
    elsewhere_right: bool | None = None
    tuber_ratio: float | None = None
    count_over: float | None = None
    raw_short_share: float | None = None
    knife_days: float | None = None
    bruised_share: float | None = None
    tuber_defects: bool | None = None
    crumbs_in_oil: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """One thing to find out: what is asked; for a figure, its unit and what can be. Else it is yes or no."""

    title: str
    unit: str = ""
    can_be: tuple[float, float] | None = None


NOTES: Mapping[str, Note] = {
    "new_lot": Note(title=said("Is the lot new?")),
    "mixed_lots": Note(title=said("Were strips of two lots fried together?")),
    "skin_on": Note(title=said("Was the skin left on?")),
    "growing_stress": Note(title=said("Did the supplier tell of heat or drought while the lot grew?")),
    "storage_c": Note(title=said("Temperature of the tubers' store"), unit=said("°C"), can_be=(-5, 40)),
    "storage_weeks": Note(title=said("Time in the store"), unit=said("weeks"), can_be=(0, 60)),
    "dry_matter_percent": Note(title=said("Dry matter of the tubers"), unit=said("%"), can_be=(8, 40)),
    "lot_darker_steps": Note(
        title=said("Lot test fry: darker than the lot kept back by"), unit=said("steps"), can_be=(-8, 8)
    ),
    "lot_sugar_ends": Note(
        title=said("Lot test fry: tubers with sugar ends"), unit=said("share, 0 to 1"), can_be=(0, 1)
    ),
    "kept_lot_right": Note(title=said("Does a lot kept back come out right in this oil today?")),
    "elsewhere_right": Note(title=said("Does this lot come out right at another fryer or on another shift?")),
    "tuber_ratio": Note(
        title=said("Mean mass of tubers over what their carton says"), unit=said("ratio"), can_be=(0.3, 3)
    ),
    "count_over": Note(title=said("Tubers a carton more than ordered"), unit=said("tubers"), can_be=(-150, 150)),
    "raw_short_share": Note(
        title=said("Raw strips that are too short at the cutter"), unit=said("share, 0 to 1"), can_be=(0, 1)
    ),
    "knife_days": Note(
        title=said("Cutting since the knives were sharpened or changed"), unit=said("days"), can_be=(0, 400)
    ),
    "bruised_share": Note(title=said("Tubers with bruises"), unit=said("share, 0 to 1"), can_be=(0, 1)),
    "tuber_defects": Note(title=said("Were eyes, scab or rot left on?")),
    "crumbs_in_oil": Note(title=said("Do burnt crumbs float in the oil?")),
}
_YES_NO: Mapping[str, bool] = {"yes": True, "no": False, "true": True, "false": False}


def read_notes(told: Mapping[str, Any]) -> HouseNotes:
    """Notes from what was told, by the fields' names; yes or no, or a number.

    Raises
    ------
    SheetError
        With everything in it that can't be.
    """
    values: dict[str, Any] = {}
    wrong = []
    for name, value in told.items():
        if value is None or value == "":
            continue
        if name not in NOTES:
            wrong.append(f"{name} is nothing that is asked about")
            continue
        values[name] = _value(NOTES[name], value)
        if values[name] is None:
            can_be = NOTES[name].can_be
            wanted = "yes or no" if can_be is None else f"{can_be[0]:g} to {can_be[1]:g} {NOTES[name].unit}"
            wrong.append(f"{name} is {value}, and can be {wanted}")
    if wrong:
        raise SheetError(f"{'; '.join(wrong)}.", hint="Correct that; what isn't known may be left out.")
    return HouseNotes(**values)


def _value(note: Note, value: Any) -> bool | float | None:
    if note.can_be is None:
        return value if isinstance(value, bool) else _YES_NO.get(str(value).strip().lower())
    try:
        number = float(value)
    except (TypeError, ValueError):
        return None
    return number if note.can_be[0] <= number <= note.can_be[1] else None
