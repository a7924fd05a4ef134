"""What the house decides once and the pass page then remembers: kitchen, shift, standard, windows, samples, prices.

One small JSON file in the house's own data. In place of anything in it that can't be the usual value counts, so that a
slip of a hand never keeps a kitchen from judging plates.
"""

import json
from collections.abc import Callable
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path
from typing import Any

from grader.added_lines import lock
from grader.errors import GraderError
from grader.places import home_folder
from grader.records.whole_files import write_whole

_FILE, _LOCK = "house.json", ".house.lock"
_TOGETHER = ("lift_from_s", "lift_until_s")
"""A window: its begin can't be held against a usual end, nor its end against a usual begin."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseValues:
    """The house's own values; those of time and number are house defaults, common practice without a source.

    Attributes
    ----------
    kitchen, zone, shift, standard, by
        As they were told last: kitchen with its time zone, shift, the key of the standard, initials.
    lift_from_s, lift_until_s
        From when until when after the basket's lift a plate is to be photographed: the film of oil has settled, the
        steam is gone, and the fries have not dried or gone limp.
    shift_from, shift_until
        When a shift that is sampled begins and ends, HH:MM by the kitchen's clock; over midnight where it ends earlier.
    samples_a_shift
        How many plates of a shift are looked at, at drawn times.
    plate_g
        What a sample plate weighs where nobody weighed it; None where the house never said.
    price_a_kg, currency
        What a kilogram of finished fries costs the house; None where it never said.
    wanted
        How often a lot that is right is to pass, and one that is wrong not to: 0 to 1.
    """

    kitchen: str = ""
    zone: str = ""
    shift: str = ""
    standard: str = ""
    by: str = ""
    lift_from_s: float = 20.0
    lift_until_s: float = 120.0
    shift_from: str = "17:00"
    shift_until: str = "22:00"
    samples_a_shift: int = 3
    plate_g: float | None = None
    price_a_kg: float | None = None
    currency: str = ""
    wanted: float = 0.9


class HouseValuesError(GraderError, ValueError):
    """A house value that can't be."""


def house_values(folder: Path | None = None) -> HouseValues:
    """What was kept; the usual values where nothing was, or where the file can't be read."""
    try:
        told = json.loads(_path(folder).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return HouseValues()
    if not isinstance(told, dict):
        return HouseValues()
    found = HouseValues()
    alone = ((field.name,) for field in fields(HouseValues) if field.name not in _TOGETHER)
    for names in (_TOGETHER, *alone):
        fitting = {name: told[name] for name in names if name in told and _fits(told[name], getattr(found, name), name)}
        candidate = replace(found, **fitting)
        found = candidate if not _wrong(candidate) else found
    return found


def keep_house_values(values: HouseValues, folder: Path | None = None) -> None:
    """Keep them in place of all that was kept: the file is there wholly, as before or as now.

    Raises
    ------
    HouseValuesError
        One of them can't be.
    OSError
        The file can't be written.
    """
    wrong = _wrong(values)
    if wrong:
        raise HouseValuesError(wrong, hint="Nothing was changed.")
    path = _path(folder)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, json.dumps(asdict(values), ensure_ascii=False, indent=1).encode())


def change_house_values(change: Callable[[HouseValues], HouseValues], folder: Path | None = None) -> None:
    """Keep what `change` makes of the values as they are kept by then: nobody else keeps any in between.

    Raises
    ------
    HouseValuesError, OSError
        As for `keep_house_values`; nothing was changed.
    """
    locked = _path(folder).with_name(_LOCK)
    locked.parent.mkdir(parents=True, exist_ok=True)
    with locked.open("ab") as file:
        lock(file, wait=True)
        keep_house_values(change(house_values(folder)), folder)


def _path(folder: Path | None) -> Path:
    return (folder or home_folder()) / _FILE


def _fits(told: Any, usual: Any, name: str) -> bool:
    if name in {"plate_g", "price_a_kg"}:
        return told is None or (isinstance(told, int | float) and not isinstance(told, bool))
    if isinstance(usual, str):
        return isinstance(told, str)
    if isinstance(usual, int):
        return isinstance(told, int) and not isinstance(told, bool)
    return isinstance(told, int | float) and not isinstance(told, bool)


def _wrong(values: HouseValues) -> str:
    """The first thing that can't be; empty where there is none."""
    clocks = (values.shift_from, values.shift_until)
    holds = {
        "The window after the lift must begin before it ends, within the hour.": (
            0 <= values.lift_from_s < values.lift_until_s <= 3600
        ),
        "A shift has 1 to 48 samples.": 1 <= values.samples_a_shift <= 48,
        "A time of the day is written as 17:30.": all(_is_clock(one) for one in clocks),
        "A sample plate weighs more than 0 and at most 10 000 g.": (
            values.plate_g is None or 0 < values.plate_g <= 10_000
        ),
        "A price is at least 0.": values.price_a_kg is None or 0 <= values.price_a_kg < 1e6,
        "The wanted share of right decisions is 0.5 to 0.99.": 0.5 <= values.wanted <= 0.99,
    }
    return next((words for words, fine in holds.items() if not fine), "")


def _is_clock(text: str) -> bool:
    hours, colon, minutes = text.partition(":")
    whole = colon and hours.isdecimal() and minutes.isdecimal() and len(hours) <= 2 and len(minutes) == 2
    return bool(whole) and int(hours) < 24 and int(minutes) < 60
