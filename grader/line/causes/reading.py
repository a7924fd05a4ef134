"""Causes and their rules from a TOML file, checked; every fault reported at once, with its line and field."""

import re
from collections.abc import Mapping
from functools import cache
from string import Formatter

from grader.line.causes.model import Cause, Condition, Fact, Rule
from grader.line.causes.naming import FACT_TITLES
from grader.line.causes.symptoms import SYMPTOMS
from grader.places import calibration_folder
from grader.standard.document import read_document
from grader.standard.fields import Table

SCHEMA_VERSION = 1
_HINT = "Correct the file and read it again; calibration/causes.toml shows every field."
_NAME, _SENTENCE, _WEIGHT = 80, 300, 5
_CONDITION = re.compile(r"(\w+) (>=|<=|is not|is) (.+)")


@cache
def load_causes() -> tuple[Cause, ...]:
    """The causes that ship.

    Raises
    ------
    DocumentFaulty
        The file was damaged.
    """
    file = calibration_folder() / "causes.toml"
    return read_causes(file.read_text(encoding="utf-8"), name=file.name)


def read_causes(text: str, *, name: str) -> tuple[Cause, ...]:
    """Causes from the text of a TOML file; `name` is what the file is called in the message.

    Raises
    ------
    DocumentFaulty
        With every fault of the file, in the order of its lines.
    """
    return read_document(text, name=name, hint=_HINT, build=_causes)


def _causes(top: Table) -> tuple[Cause, ...] | None:
    top.number("schema_version", SCHEMA_VERSION, SCHEMA_VERSION, unit="")
    causes, keys = [], set[str]()
    for table in top.tables("causes"):
        cause = _cause(table)
        if cause is not None:
            names = [cause.key, *(rule.key for rule in cause.rules)]
            for twice in (name for name in names if name in keys or names.count(name) > 1):
                table.fault("key", f'"{twice}" is there twice')
            keys |= set(names)
            causes.append(cause)
    top.close()
    return tuple(causes) or None


def _cause(table: Table) -> Cause | None:
    key, name = table.text("key", at_most=_NAME), table.text("name", at_most=_NAME)
    check, source = table.text("check", at_most=_SENTENCE), table.text("source", at_most=_SENTENCE)
    explained = table.table("explains")
    explains = {symptom: explained.number(symptom, 0.1, 2, unit="") for symptom in SYMPTOMS if explained.has(symptom)}
    explained.close()
    if not explains:
        table.fault("explains", "names no symptom")
    rules = [_rule(one, source or "") for one in table.tables("rules")]
    table.close()
    if key is None or name is None or check is None or source is None or None in rules or None in explains.values():
        return None
    return Cause(
        key=key,
        name=name,
        explains={symptom: often for symptom, often in explains.items() if often is not None},
        check=check,
        source=source,
        rules=tuple(rule for rule in rules if rule is not None),
    )


def _rule(table: Table, source: str) -> Rule | None:
    """A rule without a source of its own has that of its cause."""
    key, when, why = (
        table.text(field, at_most=most) for field, most in (("key", _NAME), ("when", _SENTENCE), ("why", _SENTENCE))
    )
    weight = table.number("weight", -_WEIGHT, _WEIGHT, unit="")
    own = table.text("source", at_most=_SENTENCE) if table.has("source") else source
    table.close()
    conditions = None if when is None else _conditions(table, when)
    if weight == 0:
        table.fault("weight", "is 0, so the rule says nothing")
    if key is None or why is None or weight is None or own is None or conditions is None:
        return None
    named = {field for _, field, _, _ in Formatter().parse(why) if field}
    if named - {one.fact for one in conditions}:
        table.fault("why", f"names {', '.join(sorted(named))}, which its conditions don't ask about")
    return Rule(key=key, when=conditions, weight=weight, why=why, source=own)


def _conditions(table: Table, when: str) -> tuple[Condition, ...] | None:
    found = []
    for part in when.split(" and "):
        told = _CONDITION.fullmatch(part.strip())
        value = None if told is None else _value(told[2], told[3].strip())
        if told is None or value is None or told[1] not in FACT_TITLES:
            table.fault("when", f'"{part}" is no condition: write a known fact, >=, <=, is or is not, and a value')
            return None
        found.append(Condition(fact=told[1], sign=told[2], value=value))
    return tuple(found)


_YES_NO: Mapping[str, bool] = {"yes": True, "no": False}


def _value(sign: str, text: str) -> Fact | None:
    if sign in {"is", "is not"}:
        return _YES_NO.get(text, text)
    try:
        return float(text)
    except ValueError:
        return None
