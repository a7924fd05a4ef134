"""Published sampling plans from their TOML files, checked; every fault reported at once, with its line and field."""

import math
import re
from functools import cache
from typing import cast, get_args

from grader.places import calibration_folder
from grader.sampling.model import (
    CameOut,
    Inspection,
    LetteredPlans,
    LettersRow,
    ListedPlan,
    ListedPlans,
    Mark,
    Plan,
    PlanTable,
    Read,
    Switch,
)
from grader.standard.document import read_document, rows_of
from grader.standard.fields import Table

SCHEMA_VERSION = 1
LETTERED = "mil-std-105e"
"""The file that finds its plans by letters; all others list theirs."""

_HINT = "Correct the file and read it again; the files in calibration/sampling show every field."
_NAME, _SENTENCE = 160, 400
_LOT, _SAMPLE = (1, math.inf), (1, 100_000)
_PLAN = re.compile(r"(\d+):(\d+)/(\d+)")
_INSPECTED = (Inspection.NORMAL, Inspection.TIGHTENED, Inspection.REDUCED)


@cache
def load_lettered() -> LetteredPlans:
    """The plans that are found by lot size, level and AQL.

    Raises
    ------
    DocumentFaulty
        The file was damaged.
    """
    file = calibration_folder() / "sampling" / f"{LETTERED}.toml"
    return read_lettered(file.read_text(encoding="utf-8"), name=file.name)


@cache
def load_listed() -> dict[str, ListedPlans]:
    """All standards that list their plans, by the name of their file, in alphabetical order.

    Raises
    ------
    DocumentFaulty
        One of the files was damaged.
    """
    files = sorted((calibration_folder() / "sampling").glob("*.toml"))
    texts = {file: file.read_text(encoding="utf-8") for file in files if file.stem != LETTERED}
    return {file.stem: read_listed(text, name=file.name) for file, text in texts.items()}


def read_lettered(text: str, *, name: str) -> LetteredPlans:
    """Plans by letters from the text of a TOML file; `name` is what the file is called in the message.

    Raises
    ------
    DocumentFaulty
        With every fault of the file, in the order of its lines.
    """
    return read_document(text, name=name, hint=_HINT, build=_lettered)


def read_listed(text: str, *, name: str) -> ListedPlans:
    """Listed plans, in the same way.

    Raises
    ------
    DocumentFaulty
        With every fault of the file, in the order of its lines.
    """
    return read_document(text, name=name, hint=_HINT, build=_listed)


def _head(top: Table) -> tuple[str, str, str, str] | None:
    version = top.number("schema_version", SCHEMA_VERSION, SCHEMA_VERSION, unit="")
    told = [top.text(key, at_most=_NAME) for key in ("name", "short_name", "edition", "issuer")]
    if version is None or None in told:
        return None
    return cast("tuple[str, str, str, str]", tuple(told))


def _lettered(top: Table) -> LetteredPlans | None:
    head = _head(top)
    aqls, levels = _numbers(top, "aqls"), _words(top, "levels")
    table = top.table("letters")
    letters_read = _read(table)
    letters = rows_of(table.tables("rows"), lambda row: _letters(row, levels))
    table.close()
    plans = {inspection: _plans(top.table(inspection), aqls) for inspection in _INSPECTED}
    switching = rows_of(top.tables("switching"), _switch)
    top.close()
    whole = {inspection: plan for inspection, plan in plans.items() if plan is not None}
    if head is None or not aqls or not levels or letters is None or letters_read is None or switching is None:
        return None
    if len(whole) < len(plans):
        return None
    name, short_name, edition, issuer = head
    return LetteredPlans(
        name=name,
        short_name=short_name,
        edition=edition,
        issuer=issuer,
        aqls=aqls,
        levels=levels,
        letters=letters,
        letters_read=letters_read,
        tables=whole,
        switching=switching,
    )


def _listed(top: Table) -> ListedPlans | None:
    head = _head(top)
    unit, counted = top.text("unit", at_most=_NAME), top.text("counted", at_most=_NAME)
    rows = rows_of(top.tables("rows"), _listed_row)
    top.close()
    if head is None or unit is None or counted is None or rows is None:
        return None
    name, short_name, edition, issuer = head
    return ListedPlans(
        name=name,
        short_name=short_name,
        edition=edition,
        issuer=issuer,
        unit=unit,
        counted=counted,
        rows=rows,
    )


def _read(table: Table) -> Read | None:
    mark, source = table.choice("mark", get_args(Mark)), table.text("source", at_most=_SENTENCE)
    return None if mark is None or source is None else Read(mark=cast("Mark", mark), source=source)


def _words(table: Table, key: str) -> tuple[str, ...]:
    text = table.text(key, at_most=_SENTENCE)
    return () if text is None else tuple(text.split())


def _numbers(table: Table, key: str) -> tuple[float, ...]:
    words = _words(table, key)
    try:
        numbers = tuple(float(word) for word in words)
    except ValueError:
        table.fault(key, "must be numbers with blanks between them")
        return ()
    if any(not 0 < number <= 100 for number in numbers) or list(numbers) != sorted(set(numbers)):
        table.fault(key, "must rise, each more than 0 and at most 100")
    return numbers


def _lots(table: Table) -> tuple[int, float] | None:
    low, high = table.number("lot_from", *_LOT, unit="units"), table.number("lot_to", *_LOT, unit="units")
    if low is None or high is None:
        return None
    if high < low:
        table.fault("lot_to", f"is {high:g}, below lot_from ({low:g})")
        return None
    return int(low), high


def _letters(table: Table, levels: tuple[str, ...]) -> LettersRow | None:
    lots, letters = _lots(table), _words(table, "letters")
    table.close()
    if letters and levels and len(letters) != len(levels):
        table.fault("letters", f"has {len(letters)} letters for {len(levels)} levels")
    if lots is None or len(letters) != len(levels):
        return None
    return LettersRow(lot_from=lots[0], lot_to=lots[1], letters=dict(zip(levels, letters, strict=True)))


def _plans(table: Table, aqls: tuple[float, ...]) -> PlanTable | None:
    read = _read(table)
    rows = rows_of(table.tables("rows"), lambda row: _plans_row(row, aqls))
    table.close()
    if read is None or rows is None:
        return None
    return PlanTable(plans={key: plan for row in rows for key, plan in row.items()}, read=read)


def _plans_row(table: Table, aqls: tuple[float, ...]) -> dict[tuple[str, float], Plan] | None:
    letter, cells = table.text("letter", at_most=1), _words(table, "plans")
    table.close()
    plans = [_plan(cell) for cell in cells]
    if cells and (len(plans) != len(aqls) or None in plans):
        table.fault("plans", f"must be {len(aqls)} plans, each like 80:5/6: units drawn, Ac/Re, with Ac below Re")
        return None
    if letter is None or not cells:
        return None
    return {(letter, aql): plan for aql, plan in zip(aqls, plans, strict=True) if plan is not None}


def _plan(cell: str) -> Plan | None:
    found = _PLAN.fullmatch(cell)
    if found is None:
        return None
    n, accept, reject = (int(part) for part in found.groups())
    return Plan(n=n, accept=accept, reject=reject) if n > 0 and accept < reject else None


def _switch(table: Table) -> Switch | None:
    leave, enter = table.choice("leave", tuple(Inspection)), table.choice("enter", tuple(Inspection))
    came_out = table.choice("came_out", (*CameOut, "any"))
    lots, of = table.number("lots", 1, 100, unit="lots"), table.number("of", 1, 100, unit="lots")
    also, read = table.text("also", at_most=_SENTENCE, may_be_empty=True), _read(table)
    table.close()
    if leave is None or enter is None or came_out is None or lots is None or of is None or also is None or read is None:
        return None
    if of < lots:
        table.fault("of", f"is {of:g}, fewer than lots ({lots:g})")
        return None
    return Switch(
        leave=Inspection(leave),
        enter=Inspection(enter),
        came_out="any" if came_out == "any" else CameOut(came_out),
        lots=int(lots),
        of=int(of),
        also=also,
        read=read,
    )


def _listed_row(table: Table) -> ListedPlan | None:
    name, lots, read = table.text("name", at_most=_NAME), _lots(table), _read(table)
    aql = table.number("aql", 0.001, 100, unit="in a hundred")
    n, accept = table.number("n", *_SAMPLE, unit="units"), table.number("accept", 0, _SAMPLE[1], unit="units")
    table.close()
    if n is not None and accept is not None and accept >= n:
        table.fault("accept", f"is {accept:g}, as many as are drawn ({n:g})")
        return None
    if name is None or aql is None or lots is None or n is None or accept is None or read is None:
        return None
    plan = Plan(n=int(n), accept=int(accept), reject=int(accept) + 1)
    return ListedPlan(name=name, aql=aql, lot_from=lots[0], lot_to=lots[1], plan=plan, read=read)
