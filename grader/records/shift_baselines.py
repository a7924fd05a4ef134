"""Baselines kept in the records: which chart one belongs to, its figures as JSON and back."""

from dataclasses import asdict
from datetime import datetime

from grader.consistency.baseline import Baseline
from grader.consistency.batches import Measure
from grader.consistency.shift_watch import Line
from grader.errors import GraderError
from grader.records.database.house import House
from grader.records.database.watching import baseline_of, freeze_baseline
from grader.records.json_values import Json
from grader.records.kept_files import Signed
from grader.standard.model import StageName

_TIMES = ("from_at", "to_at")


class BaselineUnreadableError(GraderError, ValueError):
    """A kept baseline's figures are of another edition of the program."""


def chart_name(line: Line, measure: Measure, *, standard_sha256: str, stage: StageName) -> str:
    """Which chart a baseline belongs to: by another standard, stage, kitchen or fryer it says nothing."""
    return f"{measure} | {line.kitchen} | {line.fryer} | {stage} | {standard_sha256}"


def keep_baseline(house: House, chart: str, baseline: Baseline, signed: Signed) -> int:
    """Freeze a baseline in the records; see `freeze_baseline`."""
    period = (baseline.from_at, baseline.to_at)
    return freeze_baseline(house, chart, baseline_record(baseline), period=period, signed=signed)


def kept_baseline(house: House, chart: str) -> Baseline | None:
    """The newest baseline of a chart, with the figures that were frozen; None where none was.

    Raises
    ------
    BaselineUnreadableError
        Another edition of the program kept it with other figures.
    """
    kept = baseline_of(house, chart)
    if kept is None:
        return None
    try:
        return baseline_from(dict(kept.figures))
    except (TypeError, ValueError, KeyError) as error:
        raise BaselineUnreadableError(
            f"The baseline frozen on {kept.frozen_at:%Y-%m-%d} has figures that this edition doesn't know.",
            hint="Freeze it again for the same period.",
        ) from error


def baseline_record(baseline: Baseline) -> Json:
    """A baseline ready for JSON."""
    return {key: value.isoformat() if isinstance(value, datetime) else value for key, value in asdict(baseline).items()}


def baseline_from(record: Json) -> Baseline:
    """A baseline of its record."""
    return Baseline(**record | {key: datetime.fromisoformat(record[key]) for key in _TIMES})
