"""Control photographs on disk: a line of JSON a photo in the file of its card, only ever added to.

A row is one card, one phone, one light. Its first photos set the limits; where something was changed on purpose (a new
lamp, another phone under the same name), a photo begins the row anew, with the reason, and what was before stays.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Annotated

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from grader.added_lines import add_line, whole_lines
from grader.arrays import FloatArray, frozen
from grader.card_values import IdentifiedCard, KnownValues
from grader.consistency.control.causes import Other, State, control_lines, state_of, suspects
from grader.consistency.control.reading import ControlReading, control_reading
from grader.consistency.control.series import USUAL_FIRST, ControlWatch, Taken, Watched, watch_control
from grader.errors import DocumentFaulty, Fault, dotted
from grader.fries import find_fries
from grader.grading import laid_by, read_card
from grader.photo import read_photo
from grader.places import home_folder
from grader.records.json_values import Json, number
from grader.records.standards import chosen_standard

FOLDER = "control-photos"
SAME_TIME = timedelta(days=7)
"""Other cards and phones tell of causes while their newest photo is so near in time (house choice, no source)."""
_DECIMALS = 6
_MANY_FRIES = 5
"""Fewer may be crumbs, or something else on the table (house choice)."""
_ALONE = "A control photograph is of the card alone: take one without them, and begin the row anew with it."

_Number = Annotated[float, Field(allow_inf_nan=False, ge=-1000, le=1000)]
_Three = tuple[_Number, _Number, _Number]


class ControlLine(BaseModel):
    """One control photograph as it stands in the record.

    `anew` says why the row began again with it, else it is empty; `values` what the card's colours were taken from.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)
    at: datetime
    card: str
    phone: str
    light: str
    photo: str
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    first: Annotated[int, Field(ge=5, le=100)]
    anew: Annotated[str, Field(max_length=200)]
    values: str
    numbers: tuple[int, ...]
    usable: tuple[bool, ...]
    seen: tuple[_Three, ...]
    left: tuple[_Three, ...]
    weight: tuple[_Number, ...]
    tint: tuple[_Number, _Number]
    fit_de: _Number

    @property
    def taken(self) -> Taken:
        """What is watched."""
        reading = ControlReading(
            numbers=self.numbers,
            usable=frozen(np.array(self.usable)),
            seen=frozen(np.array(self.seen)),
            left=frozen(np.array(self.left)),
            weight=frozen(np.array(self.weight)),
            tint=frozen(np.array(self.tint)),
            fit_de=self.fit_de,
        )
        return Taken(at=self.at, reading=reading)


@dataclass(frozen=True, slots=True, kw_only=True)
class RowOf:
    """Which row a control photograph belongs to: phone and light in the house's own words, which may be empty.

    Where the row begins with it, `first` says how many photos set the limits; `anew` says why it begins again.
    """

    phone: str = ""
    light: str = ""
    first: int = USUAL_FIRST
    anew: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ControlRun:
    """What a control photograph came to, with its whole row, what other rows say, where it is kept; fries in it."""

    line: ControlLine
    watch: ControlWatch
    others: tuple[Other, ...]
    file: Path
    fries: int


def take_control(
    data: bytes,
    *,
    name: str,
    row: RowOf,
    known: KnownValues,
    now: datetime,
) -> ControlRun:
    """Read a control photograph, add it to the record of its card and hold it against the first of its row.

    A photo that is in the record already stays in the row in which it was kept first.

    Parameters
    ----------
    now
        When the photo was taken, where its file doesn't say; with a zone.

    Raises
    ------
    PhotoRefused
        The photo is no good, or shows no card.
    DocumentFaulty
        The record is damaged; nothing is added.
    OSError
        It can't be written.
    """
    photo = read_photo(data, name=name)
    card, samples, colour = read_card(photo, known)
    key = f"{card.sheet.layout.key}.{card.serial or 'no-serial'}"
    reading = control_reading(samples, colour, tuple(patch.number for patch in card.sheet.layout.patches))
    line = ControlLine(
        at=_when(photo.taken_at, now),
        card=key,
        phone=row.phone.strip(),
        light=row.light.strip(),
        photo=name,
        sha256=photo.sha256,
        first=row.first,
        anew=row.anew.strip(),
        values=_values_words(card),
        numbers=reading.numbers,
        usable=tuple(reading.usable.tolist()),
        seen=_rows(reading.seen),
        left=_rows(reading.left),
        weight=tuple(np.round(reading.weight, _DECIMALS).tolist()),
        tint=(round(float(reading.tint[0]), _DECIMALS), round(float(reading.tint[1]), _DECIMALS)),
        fit_de=round(reading.fit_de, _DECIMALS),
    )
    file = controls_folder() / f"{key}.jsonl"
    lines = _add(file, line)
    line = next(one for one in lines if one.sha256 == line.sha256)
    plate = find_fries(photo.pixels, card.sheet, samples, colour, laid_by(chosen_standard(None)))
    return ControlRun(
        line=line,
        watch=_watch(_row_of(lines, line)),
        others=tuple(_others(line)),
        file=file,
        fries=len(plate.fries),
    )


def _values_words(card: IdentifiedCard) -> str:
    return "as designed" if card.values is None else f"{card.values.method}, {card.values.measured_on.isoformat()}"


def controls_folder() -> Path:
    """Where the records lie; it need not exist yet."""
    return home_folder() / FOLDER


def _when(taken_at: str | None, now: datetime) -> datetime:
    return now if taken_at is None else datetime.fromisoformat(taken_at).astimezone(now.tzinfo)


def _rows(values: FloatArray) -> tuple[_Three, ...]:
    return tuple((float(a), float(b), float(c)) for a, b, c in np.round(values, _DECIMALS))


def read_controls(path: Path) -> tuple[ControlLine, ...]:
    """All photos of a card's record in the order in which they were added; none where there is no such file.

    Raises
    ------
    DocumentFaulty
        With every line that is none.
    """
    lines: list[ControlLine] = []
    faults: list[Fault] = []
    for at, text in enumerate(whole_lines(path), 1):
        try:
            lines.append(ControlLine.model_validate_json(text))
        except ValidationError as error:
            faults += [
                Fault(line=at, field=dotted(one["loc"]) or "the line", message=one["msg"]) for one in error.errors()
            ]
    if faults:
        raise DocumentFaulty(str(path), tuple(faults), hint="Take the line out, or move the file away and begin anew.")
    return tuple(lines)


def _add(path: Path, line: ControlLine) -> tuple[ControlLine, ...]:
    """Add a line; the same photo a second time is no second one."""
    before = read_controls(path)
    if any(one.sha256 == line.sha256 for one in before):
        return before
    path.parent.mkdir(parents=True, exist_ok=True)
    add_line(path, json.dumps(line.model_dump(mode="json"), ensure_ascii=False))
    return (*before, line)


def _row_of(lines: Sequence[ControlLine], line: ControlLine) -> list[ControlLine]:
    """Those of the same phone and light since the row last began, up to the line itself.

    It begins anew where a person said so, and where the card's colours come from somewhere else than before.
    """
    row: list[ControlLine] = []
    for one in lines:
        if (one.phone, one.light) == (line.phone, line.light):
            begins = not row or bool(one.anew) or one.values != row[0].values or one.numbers != row[0].numbers
            row = [one] if begins else [*row, one]
        if one.sha256 == line.sha256:
            break
    return row


def _watch(row: Sequence[ControlLine]) -> ControlWatch:
    return watch_control([one.taken for one in row], first=row[0].first)


def _others(line: ControlLine) -> Iterator[Other]:
    """The newest photo of every other row that is near enough in time."""
    for path in sorted(controls_folder().glob("*.jsonl")):
        lines = read_controls(path)
        newest = {(one.phone, one.light): one for one in lines}
        for (phone, light), one in newest.items():
            same = (one.card == line.card, phone == line.phone, light == line.light)
            if all(same) or abs(one.at - line.at) > SAME_TIME:
                continue
            state = state_of(_watch(_row_of(lines, one)))
            yield Other(same_card=same[0], same_phone=same[1], same_light=same[2], state=state)


def run_lines(run: ControlRun) -> list[str]:
    """A control photograph in words: the verdict first."""
    where = ", ".join(word for word in (run.line.card, run.line.phone, run.line.light) if word)
    beside = [f"{run.fries} fries lie beside the card. {_ALONE}"] if run.fries >= _MANY_FRIES else []
    return [f"{where}:", *beside, *control_lines(run.watch, run.others), f"Kept in {run.file}"]


def control_record(run: ControlRun) -> Json:
    """A control photograph ready for JSON."""
    state: State = state_of(run.watch)
    return {
        "card": run.line.card,
        "fries": run.fries,
        "phone": run.line.phone,
        "light": run.line.light,
        "at": run.line.at.isoformat(),
        "state": state.name.lower(),
        "photos": len(run.watch.taken),
        "first": run.watch.first,
        "suspects": list(suspects(state, run.others)),
        "patches": list(run.watch.patches),
        "rows": {
            what.name.lower(): {
                "unit": "CIELAB" if what is Watched.LEFT else "per cent",
                "values": [number(float(value)) for value in row.values],
                "low": number(row.low),
                "high": number(row.high),
                "out": row.out.tolist(),
            }
            for what, row in run.watch.rows.items()
        },
    }
