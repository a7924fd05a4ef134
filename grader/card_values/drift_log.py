"""The record of a card's drift: a line of JSON a comparison, only ever added to."""

import json
from datetime import date
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from grader.added_lines import add_line, whole_lines
from grader.card.serial import Serial
from grader.card_values.drift import CardDrift
from grader.card_values.drift_trend import DriftPoint
from grader.errors import DocumentFaulty, Fault, dotted
from grader.places import home_folder

FOLDER = "card-drift"
_HINT = "Correct the line, or take the file away and begin a new record."
_DECIMALS = 4

_Number = Annotated[float, Field(ge=-300, le=300, allow_inf_nan=False, strict=True)]
_NumberNotBelow0 = Annotated[float, Field(ge=0, le=300, allow_inf_nan=False, strict=True)]


class PatchLine(BaseModel):
    """One patch of a comparison: the card in use less the one from the dark; `usable` where both could be read."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    number: Annotated[int, Field(ge=1)]
    usable: bool
    dl: _Number
    da: _Number
    db: _Number
    dl_u: _NumberNotBelow0
    da_u: _NumberNotBelow0
    db_u: _NumberNotBelow0
    de: _NumberNotBelow0
    de_u: _NumberNotBelow0


class DriftLine(BaseModel):
    """One comparison, as it stands in the record."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    day: date
    layout: str
    working: str | None
    kept: str | None
    photo: str
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    mean_de: _NumberNotBelow0
    mean_de_u: _NumberNotBelow0
    paper_da: _Number
    paper_db: _Number
    patches: tuple[PatchLine, ...]

    @property
    def point(self) -> DriftPoint:
        """What the trend is drawn through."""
        return DriftPoint(day=self.day, mean_de=self.mean_de, mean_de_u=self.mean_de_u)


def drift_file(layout: str, working: Serial | None) -> Path:
    """Where the record of a card lies on this machine; cards without a serial share one for their sheet."""
    return home_folder() / FOLDER / f"{layout}.{working or 'no-serial'}.jsonl"


def drift_line(  # noqa: PLR0913  a line names all that a stranger must know of it
    drift: CardDrift,
    *,
    day: date,
    layout: str,
    working: Serial | None,
    kept: Serial | None,
    photo: str,
    sha256: str,
) -> DriftLine:
    """A comparison as it goes into the record, rounded far below its uncertainty."""
    patches = tuple(
        PatchLine(
            number=number,
            usable=bool(drift.usable[k]),
            dl=_rounded(drift.dlab[k, 0]),
            da=_rounded(drift.dlab[k, 1]),
            db=_rounded(drift.dlab[k, 2]),
            dl_u=_rounded(drift.dlab_u[k, 0]),
            da_u=_rounded(drift.dlab_u[k, 1]),
            db_u=_rounded(drift.dlab_u[k, 2]),
            de=_rounded(drift.de[k]),
            de_u=_rounded(drift.de_u[k]),
        )
        for k, number in enumerate(drift.numbers)
    )
    return DriftLine(
        day=day,
        layout=layout,
        working=None if working is None else str(working),
        kept=None if kept is None else str(kept),
        photo=photo.encode(errors="replace").decode(),  # the system's own bytes, where a file's name is no text
        sha256=sha256,
        mean_de=_rounded(drift.mean_de),
        mean_de_u=_rounded(drift.mean_de_u),
        paper_da=_rounded(drift.paper_dab[0]),
        paper_db=_rounded(drift.paper_dab[1]),
        patches=patches,
    )


def read_drift(path: Path) -> tuple[DriftLine, ...]:
    """All comparisons of a record, in the order in which they were added; none where there is no such file.

    Raises
    ------
    DocumentFaulty
        With every line that is no comparison.
    OSError
        It can't be read.
    """
    lines: list[DriftLine] = []
    faults: list[Fault] = []
    for number, text in enumerate(whole_lines(path), 1):
        try:
            lines.append(DriftLine.model_validate_json(text))
        except ValidationError as error:
            faults += [
                Fault(line=number, field=dotted(e["loc"]) or "the line", message=e["msg"]) for e in error.errors()
            ]
    if faults:
        raise DocumentFaulty(str(path), tuple(faults), hint=_HINT)
    return tuple(lines)


def with_drift(before: tuple[DriftLine, ...], line: DriftLine) -> tuple[DriftLine, ...]:
    """A record and one more comparison; the same photo a second time is no second one: then it stays as it is."""
    return before if any(one.sha256 == line.sha256 for one in before) else (*before, line)


def add_drift(path: Path, line: DriftLine) -> tuple[DriftLine, ...]:
    """Add a comparison to a record, which is made where it isn't there, and give the whole record (`with_drift`).

    Raises
    ------
    DocumentFaulty
        The record is damaged; nothing is added.
    OSError
        It can't be written.
    """
    before = read_drift(path)
    after = with_drift(before, line)
    if len(after) == len(before):
        return before
    path.parent.mkdir(parents=True, exist_ok=True)
    add_line(path, json.dumps(line.model_dump(mode="json"), ensure_ascii=False))
    return after


def _rounded(value: float) -> float:
    return round(float(value), _DECIMALS)
