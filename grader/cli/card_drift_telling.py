"""What the command line says of a card's drift."""

from collections.abc import Iterator

from grader.card_values.drift_log import PatchLine
from grader.card_values.drift_trend import LIMIT_DE, Condition
from grader.cli.card_drift_run import DriftRun
from grader.records.readings import Json, number

_SHOWN = 5


def drift_lines(run: DriftRun) -> list[str]:
    """A comparison in words: the verdict first."""
    return list(_lines(run))


def _lines(run: DriftRun) -> Iterator[str]:
    trend, line = run.trend, run.line
    whose = line.working or f"The card ({line.layout}, its serial can't be read)"
    yield f"{whose}: {trend.words}."
    yield (
        f"  {line.day.isoformat()}: {line.mean_de:.2f} ± {line.mean_de_u:.2f} CIE 2000 units from the kept card (mean,"
        f" u with k = 1); beyond {LIMIT_DE:g} it is to be printed anew"
    )
    if trend.a_year_de is not None:
        yield f"  {len(run.lines)} comparisons: {trend.a_year_de:+.2f} ± {trend.a_year_de_u:.2f} a year"
    else:
        yield f"  {len(run.lines)} of the 3 comparisons, on different days, that a trend needs"
    for patch in _most(run):
        yield (
            f"  patch {patch.number}: {patch.de:.1f} ± {patch.de_u:.1f}"
            f" (dL {patch.dl:+.1f}, da {patch.da:+.1f}, db {patch.db:+.1f})"
        )
    yield f"  paper: da {line.paper_da:+.1f}, db {line.paper_db:+.1f}"
    if trend.condition is Condition.PRINT_ANEW:
        yield "Print new cards, keep one of them in the dark, and have one measured."
    if run.file is not None:
        yield f"Kept in {run.file}"


def _most(run: DriftRun) -> list[PatchLine]:
    return sorted((one for one in run.line.patches if one.usable), key=lambda one: -one.de)[:_SHOWN]


def drift_record(run: DriftRun) -> Json:
    """A comparison ready for JSON."""
    trend = run.trend
    return {
        "condition": trend.condition.value,
        "now_de": number(trend.now_de),
        "now_de_u": number(trend.now_de_u),
        "a_year_de": number(trend.a_year_de),
        "a_year_de_u": number(trend.a_year_de_u),
        "anew_by": None if trend.anew_by is None else trend.anew_by.isoformat(),
        "limit_de": LIMIT_DE,
        "comparison": run.line.model_dump(mode="json"),
        "comparisons": len(run.lines),
    }
