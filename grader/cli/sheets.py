"""Writing a print run of cards or mats."""

from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from pathlib import Path

import numpy as np
from PIL import Image

from grader.card import (
    Imprint,
    chosen_paper,
    draw_run,
    imprint_run,
    load_layouts,
    papers_for,
    plan_page,
    usual_count,
)
from grader.card.model import Layout
from grader.card.papers import Paper
from grader.card.printing import draw_sheet_png, draw_sheets_pdf
from grader.colour import lab_to_srgb8
from grader.errors import GraderError
from grader.records.whole_files import write_whole

_DPI = 300
"""A tag's smallest square is then some 26 px."""


class UnknownSheetError(GraderError, ValueError):
    """No such sheet to print, or no such kind of file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintRun:
    """What is to be printed: on which paper, and an imprint for each sheet."""

    layout: Layout
    paper: Paper
    imprints: tuple[Imprint, ...]


def printable_layouts() -> dict[str, Layout]:
    """The sheets that can be printed, by key."""
    return {layout.key: layout for layout in load_layouts() if layout.printable}


def sheet_words(layout: Layout) -> str:
    """A sheet's name and the papers that it fits on."""
    return f"{layout.name}; fits on {', '.join(paper.key for paper in papers_for(layout))}"


def chosen_layout(key: str) -> Layout:
    """The sheet of that name, to print.

    Raises
    ------
    UnknownSheetError
        There is none, or it is one that is only read in photos.
    """
    layouts = printable_layouts()
    if key in layouts:
        return layouts[key]
    choice = f"Choose one of: {', '.join(layouts)}."
    if key in {layout.key for layout in load_layouts()}:
        # Not even on request: a print's tags would stand for colours that it can't have, and it would have no serial.
        raise UnknownSheetError(f"{key} is no longer printed; prints of it are still read.", hint=choice)
    raise UnknownSheetError(f"There is no sheet called {key}.", hint=choice)


def planned_run(
    layout: Layout, out: Path, *, paper: str | None, run: str | None, first: int, count: int | None, months: int
) -> PrintRun:
    """A print run of today; without a name it gets one that no other has, without a count as many as are of use.

    Raises
    ------
    SheetDoesNotFit
        The paper is too small for the sheet, or not known.
    SerialFaulty
        The name is none of a run, or the numbers are used up.
    """
    on = chosen_paper(layout, paper)
    name = run.strip().upper() if run else draw_run(np.random.default_rng())
    usual = 1 if out.suffix.lower() == ".png" else usual_count(plan_page(layout, on))
    today = datetime.now().astimezone().date()
    imprints = imprint_run(name, first=first, count=count or usual, printed=today, months=months)
    return PrintRun(layout=layout, paper=on, imprints=imprints)


def write_run(run: PrintRun, out: Path) -> None:
    """Write a print run as the PDF, or its one sheet as the PNG, that the name of `out` asks for.

    Raises
    ------
    UnknownSheetError
        The name ends in neither, or there are several sheets for one picture.
    """
    match out.suffix.lower():
        case ".pdf":
            data = draw_sheets_pdf(run.layout, lab_to_srgb8, paper=run.paper, imprints=run.imprints)
        case ".png" if len(run.imprints) > 1:
            raise UnknownSheetError(
                "A PNG holds one sheet.", hint="End the name in .pdf, or write one sheet at a time with --first."
            )
        case ".png":
            data = _png(run)
        case _:
            raise UnknownSheetError(
                f"A sheet is written as PDF or PNG, not as {out.name}.", hint="End its name in .pdf or .png."
            )
    write_whole(out, data)


def _png(run: PrintRun) -> bytes:
    """The picture says how many pixels it has to the inch, so that 100 % means true size."""
    picture = draw_sheet_png(run.layout, lab_to_srgb8, px_per_mm=_DPI / 25.4, imprint=run.imprints[0], to_print=True)
    packed = BytesIO()
    Image.fromarray(picture).save(packed, format="PNG", dpi=(_DPI, _DPI))
    return packed.getvalue()
