"""A check of photographs of a chart, as a table for people and as JSON for programs."""

from typing import Any

from rich.console import Console
from rich.table import Table

from grader.chart.checking import ChartCheck, CheckedPhoto, Figures, figures
from grader.chart.home import HomeCalibration
from grader.chart.model import PATCHES
from grader.chart.prediction import METHODS
from grader.cli.marked_up import escape
from grader.records.json_values import number

_FOUND = {"detector": "detector", "grid": "grid", "corners": "corners"}


def tell_check(console: Console, check: ChartCheck) -> None:
    """Each photograph by each method, all together, and what was refused."""
    console.print(
        f"Fitted on the odd patches, held against the even ones: CIE 2000 differences from {check.values.name}."
    )
    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column("photograph", overflow="fold")
    for heading in ("chart by", "odd", "even", "method"):
        table.add_column(heading, no_wrap=True)
    for heading in ("median", "95th", "most", "own"):
        table.add_column(heading, justify="right")
    for photo in check.photos:
        for turn, method in enumerate(METHODS):
            first = (escape(photo.name), _found_by(photo), str(photo.odd_used), str(photo.even_used))
            table.add_row(*(first if turn == 0 else ("",) * 4), method, *_cells(photo, method))
    for turn, method in enumerate(METHODS):
        together = ("together", "", "", str(check.predicted(method).count))
        cells = (*_words(check.predicted(method)), f"{check.fitted(method).median:.2f}")
        table.add_row(*(together if turn == 0 else ("",) * 4), method, *cells)
    if check.photos:
        console.print(table)
        console.print("median, 95th, most: of the even patches, which no fit has seen; own: median of the odd ones.")
    for refused in check.refused:
        console.print(f"[yellow]! {escape(refused.name)}[/]: {escape(refused.message)} {escape(refused.hint)}")


def check_record(check: ChartCheck) -> dict[str, Any]:
    """The same as it goes into JSON, each patch too."""
    return {
        "edition": check.values.edition,
        "values": check.values.name,
        "photographs": [_photo_record(photo) for photo in check.photos],
        "together": {
            method: {"even": _figures(check.predicted(method)), "odd": _figures(check.fitted(method))}
            for method in METHODS
        },
        "refused": [{"name": one.name, "message": one.message, "hint": one.hint} for one in check.refused],
    }


def _photo_record(photo: CheckedPhoto) -> dict[str, Any]:
    return {
        "name": photo.name,
        "chart_by": None if photo.chart is None else photo.chart.found_by,
        "chart_misfit_de": None if photo.chart is None else number(photo.chart.misfit_de),
        "clipped": [index + 1 for index in range(PATCHES) if photo.readings.clipped[index]],
        "left_out": [index + 1 for index in range(PATCHES) if not photo.readings.usable[index]],
        "methods": {
            method: {
                "even": _figures(figures([prediction.predicted_de])),
                "odd": _figures(figures([prediction.fitted_de])),
                "de": [number(de) for de in prediction.de],
            }
            for method, prediction in photo.predictions.items()
        },
    }


def _figures(of: Figures) -> dict[str, float | int | None]:
    return {
        "count": of.count,
        "median_de": number(of.median),
        "p95_de": number(of.p95),
        "largest_de": number(of.largest),
    }


def _found_by(photo: CheckedPhoto) -> str:
    return "values" if photo.chart is None else _FOUND[photo.chart.found_by]


def _cells(photo: CheckedPhoto, method: str) -> tuple[str, ...]:
    prediction = photo.predictions[method]
    return (*_words(figures([prediction.predicted_de])), f"{figures([prediction.fitted_de]).median:.2f}")


def _words(of: Figures) -> tuple[str, str, str]:
    return f"{of.median:.2f}", f"{of.p95:.2f}", f"{of.largest:.2f}"


def calibration_lines(found: HomeCalibration) -> list[str]:
    """How well the photographs of a card beside a chart agreed, light by light."""
    lights = "; ".join(f"{turn}: {', '.join(names)}" for turn, names in enumerate(found.lights, 1))
    agreed = (
        f"  the lights differ by {found.between_de:.1f} on the card, and a chart patch left out is missed by"
        f" {found.left_out_de:.1f} (CIE 2000, median)"
    )
    return [f"  lights {lights}", agreed]
