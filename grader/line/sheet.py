"""The line sheet: what was done with a batch, from wash to hold, and what is unusual about it.

Every field may be left empty: what nobody wrote down isn't known. A figure out of the usual is asked about and kept
as it was told; only what can't be is refused.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from enum import StrEnum
from statistics import median
from typing import Any

from grader.errors import GraderError
from grader.language import said

COMMON_PRACTICE, HOUSE_GUESS, OWN_SHEETS = said("common practice"), said("house guess"), said("the house's own sheets")


class SheetError(GraderError, ValueError):
    """What was told can't be."""


class Wash(StrEnum):
    """How cut strips were washed."""

    NONE = said("none")
    RINSED = said("rinsed")
    CLEAR = said("until clear")


class Drying(StrEnum):
    """How strips were dried before they met oil."""

    NONE = said("none")
    DRAINED = said("drained")
    TOWELLED = said("towelled")
    SPUN = said("spun")


class Cooling(StrEnum):
    """What blanched strips did until they were finished."""

    NONE = said("none")
    AIR = said("in the air")
    COOLER = said("in the cooler")
    FROZEN = said("frozen")


class Hold(StrEnum):
    """How finished fries waited."""

    OPEN = said("open")
    COVERED = said("covered")
    LAMP = said("under a lamp")


@dataclass(frozen=True, slots=True, kw_only=True)
class LineSheet:
    """What was done with one batch; None (or empty) where nobody wrote it down.

    Attributes
    ----------
    air_min
        For how long cut strips lay out of the water.
    vinegar_ml_l
        White vinegar (5 % acid) in the soak, ml a litre.
    oil_age_days
        Days of frying since the oil was changed.
    oil_lowest_c
        The lowest that the finishing oil fell to.
    blanch_c, finish_c
        Temperature of the oil as the basket went in.
    """

    wash: Wash | None = None
    cut_mm: float | None = None
    soak_h: float | None = None
    water_changes: float | None = None
    vinegar_ml_l: float | None = None
    air_min: float | None = None
    drying: Drying | None = None
    load_kg: float | None = None
    oil_kind: str = ""
    oil_l: float | None = None
    oil_age_days: float | None = None
    blanch_c: float | None = None
    blanch_s: float | None = None
    cooling: Cooling | None = None
    cooling_min: float | None = None
    finish_c: float | None = None
    finish_s: float | None = None
    oil_lowest_c: float | None = None
    salt_g_kg: float | None = None
    hold: Hold | None = None
    hold_min: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """What a figure of the sheet is: its unit, what can be, what is usual and who says so."""

    title: str
    unit: str
    can_be: tuple[float, float]
    usual: tuple[float, float]
    source: str = COMMON_PRACTICE


FIGURES: Mapping[str, Figure] = {
    "cut_mm": Figure(title=said("Cut"), unit=said("mm"), can_be=(3, 40), usual=(6, 20), source=HOUSE_GUESS),
    "soak_h": Figure(title=said("Soak"), unit=said("h"), can_be=(0, 96), usual=(3, 24)),
    "water_changes": Figure(title=said("Changes of water"), unit=said("times"), can_be=(0, 20), usual=(1, 4)),
    "vinegar_ml_l": Figure(title=said("White vinegar in the soak"), unit=said("ml/l"), can_be=(0, 100), usual=(0, 8)),
    "air_min": Figure(
        title=said("Cut strips out of the water"), unit=said("min"), can_be=(0, 600), usual=(0, 15), source=HOUSE_GUESS
    ),
    "load_kg": Figure(
        title=said("Load of a basket"), unit=said("kg"), can_be=(0.05, 20), usual=(0.3, 3), source=HOUSE_GUESS
    ),
    "oil_l": Figure(title=said("Oil in the fryer"), unit=said("l"), can_be=(1, 200), usual=(5, 50), source=HOUSE_GUESS),
    "oil_age_days": Figure(title=said("Age of the oil"), unit=said("days"), can_be=(0, 90), usual=(0, 5)),
    "blanch_c": Figure(title=said("Blanch, oil"), unit=said("°C"), can_be=(60, 210), usual=(155, 170)),
    "blanch_s": Figure(title=said("Blanch, time"), unit=said("s"), can_be=(10, 1800), usual=(120, 180)),
    "cooling_min": Figure(
        title=said("Cooling"), unit=said("min"), can_be=(0, 5000), usual=(10, 1440), source=HOUSE_GUESS
    ),
    "finish_c": Figure(title=said("Finish, oil"), unit=said("°C"), can_be=(120, 220), usual=(170, 193)),
    "finish_s": Figure(title=said("Finish, time"), unit=said("s"), can_be=(10, 1800), usual=(120, 180)),
    "oil_lowest_c": Figure(
        title=said("Lowest that the oil fell to"),
        unit=said("°C"),
        can_be=(60, 220),
        usual=(155, 190),
        source=HOUSE_GUESS,
    ),
    "salt_g_kg": Figure(title=said("Salt"), unit=said("g/kg"), can_be=(0, 60), usual=(3, 15), source=HOUSE_GUESS),
    "hold_min": Figure(title=said("Hold"), unit=said("min"), can_be=(0, 480), usual=(0, 10)),
}
"""The sheet's figures, in the order of the work. Near 163 C (325 F) and 2 to 3 min for the blanch of a 9.5 mm cut, near
191 C (375 F) and 2 to 3 min for the finish, some 4 ml of vinegar a litre (a tablespoon a gallon), 3 to 24 h of soak, at
most 5 to 10 min of hold: common practice, and no more than that."""

WORDS: Mapping[str, tuple[str, type[StrEnum]]] = {
    "wash": (said("Wash"), Wash),
    "drying": (said("Drying"), Drying),
    "cooling": (said("Cooling"), Cooling),
    "hold": (said("How they were held"), Hold),
}
"""What is told by one of a few words."""

LAW_BELOW_C = 175.0
LAW = "Commission Regulation (EU) 2017/2158, annex II, part A"
"""Where that law holds, caterers fry below this, and as low as food safety allows."""
_LAW_ZONES = frozenset(
    [
        "Europe/Amsterdam",
        "Europe/Athens",
        "Europe/Berlin",
        "Europe/Bratislava",
        "Europe/Brussels",
        "Europe/Bucharest",
        "Europe/Budapest",
        "Europe/Busingen",
        "Europe/Copenhagen",
        "Europe/Dublin",
        "Europe/Helsinki",
        "Europe/Lisbon",
        "Europe/Ljubljana",
        "Europe/London",
        "Europe/Luxembourg",
        "Europe/Madrid",
        "Europe/Malta",
        "Europe/Mariehamn",
        "Europe/Paris",
        "Europe/Prague",
        "Europe/Riga",
        "Europe/Rome",
        "Europe/Sofia",
        "Europe/Stockholm",
        "Europe/Tallinn",
        "Europe/Vienna",
        "Europe/Vilnius",
        "Europe/Warsaw",
        "Europe/Zagreb",
        "Asia/Nicosia",
        "Asia/Famagusta",
        "Atlantic/Azores",
        "Atlantic/Madeira",
        "Atlantic/Canary",
        "Africa/Ceuta",
    ]
)
"""Time zones (IANA) of the member states, and of the United Kingdom, which kept it (legislation.gov.uk)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A figure out of the usual: asked about, never refused."""

    field: str
    value: float
    low: float
    high: float
    by: str


def read_sheet(told: Mapping[str, Any]) -> LineSheet:
    """A sheet from what was told, by the fields' names.

    Raises
    ------
    SheetError
        With everything in it that can't be.
    """
    known = {field.name for field in fields(LineSheet)}
    wrong = [f"{name} is no field of the sheet" for name in told if name not in known]
    values: dict[str, Any] = {}
    for name, value in told.items():
        if value is None or value == "" or name not in known:
            continue
        values[name], fault = _value(name, value)
        wrong += [fault] if fault else []
    if wrong:
        raise SheetError(f"{'; '.join(wrong)}.", hint="Correct that; what isn't known may be left out.")
    return LineSheet(**values)


def _value(name: str, value: Any) -> tuple[Any, str]:
    if name in WORDS:
        options = [one.value for one in WORDS[name][1]]
        if str(value) in options:
            return WORDS[name][1](str(value)), ""
        return None, f"{name} is {value}, and can be {', '.join(options)}"
    if name not in FIGURES:
        return str(value)[:60], ""
    figure = FIGURES[name]
    try:
        number = float(value)
    except (TypeError, ValueError):
        return None, f"{name} is {value}, no number"
    if not figure.can_be[0] <= number <= figure.can_be[1]:
        return None, f"{name} is {number:g} {figure.unit}, and can be {figure.can_be[0]:g} to {figure.can_be[1]:g}"
    return number, ""


def told_fields(sheet: LineSheet) -> dict[str, Any]:
    """What is known, by the fields' names."""
    return {name: value for name, value in asdict(sheet).items() if value not in {None, ""}}


def questions(sheet: LineSheet, usual: LineSheet | None = None) -> tuple[Question, ...]:
    """The figures to ask about: those outside what the house usually does, or where that isn't known what is common."""
    asked = []
    for name, value in told_fields(sheet).items():
        if name in FIGURES:
            low, high, by = range_of(name, usual)
            if not low <= value <= high:
                asked.append(Question(field=name, value=value, low=low, high=high, by=by))
    return tuple(asked)


_ABOUT_USUAL = {"blanch_c": 4.0, "finish_c": 4.0, "oil_lowest_c": 8.0, "cut_mm": 0.8}
"""A figure may be so far from the house's usual one before it is asked about; others by a quarter (house default)."""
_SHARE = 0.25
_ONLY_COMMON = {"oil_age_days", "hold_min", "air_min"}
"""What runs up from nothing: there a house's own middle says nothing of the most that is right."""


def range_of(name: str, usual: LineSheet | None = None) -> tuple[float, float, str]:
    """What is usual of a figure: low, high, and who says so."""
    own = None if usual is None or name in _ONLY_COMMON else getattr(usual, name)
    if own is None:
        return *FIGURES[name].usual, FIGURES[name].source
    reach = _ABOUT_USUAL.get(name, _SHARE * own)
    return own - reach, own + reach, OWN_SHEETS


def contradictions(sheet: LineSheet) -> tuple[str, ...]:
    """What on a sheet can't all be so; asked about too, and kept as it was told."""
    told = []
    if sheet.oil_lowest_c is not None and sheet.finish_c is not None and sheet.oil_lowest_c > sheet.finish_c:
        told.append(said("The oil's lowest temperature is above the one that the basket went in at."))
    if sheet.blanch_c is not None and sheet.finish_c is not None and sheet.blanch_c > sheet.finish_c:
        told.append(said("The blanch was hotter than the finish."))
    if sheet.load_kg is not None and sheet.oil_l is not None and sheet.load_kg > sheet.oil_l:
        told.append(said("The load is heavier than the oil."))
    if sheet.cooling is Cooling.NONE and sheet.cooling_min:
        told.append(said("They weren't cooled, and yet for some time."))
    return tuple(told)


def usual_of(sheets: Sequence[LineSheet]) -> LineSheet:
    """What a house usually does: the middle of its figures, the most frequent of its words."""
    told: dict[str, list[Any]] = {}
    usual: dict[str, Any] = {}
    for sheet in sheets:
        for name, value in told_fields(sheet).items():
            told.setdefault(name, []).append(value)
    for name, values in told.items():
        usual[name] = float(median(values)) if name in FIGURES else Counter(values).most_common(1)[0][0]
    return LineSheet(**usual)


def law_holds(zone: str) -> bool:
    """Whether kitchens of this IANA time zone are, as far as a zone tells, where that law holds."""
    return zone in _LAW_ZONES


def against_the_law(sheet: LineSheet) -> tuple[str, ...]:
    """The fields that conflict with Regulation (EU) 2017/2158, where that law holds."""
    return tuple(
        name
        for name in ("blanch_c", "finish_c")
        if (value := getattr(sheet, name)) is not None and value >= LAW_BELOW_C
    )
