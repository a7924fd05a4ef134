"""Writing a card or a mat to print."""

from pathlib import Path

import cv2

from grader.card import draw_sheet_pdf, draw_sheet_png, load_layouts
from grader.card.model import Layout
from grader.colour import lab_to_srgb8
from grader.errors import GraderError
from grader.records.whole_files import write_whole

PX_PER_MM = 300 / 25.4
"""300 dpi: a tag's smallest square is then some 26 px."""


class UnknownSheetError(GraderError, ValueError):
    """No such layout, or no such kind of file."""


def chosen_layout(key: str) -> Layout:
    """The layout of that name.

    Raises
    ------
    UnknownSheetError
        There is none.
    """
    layouts = {layout.key: layout for layout in load_layouts()}
    if key not in layouts:
        raise UnknownSheetError(f"There is no sheet called {key}.", hint=f"Choose one of: {', '.join(layouts)}.")
    return layouts[key]


def write_sheet(layout: Layout, out: Path) -> None:
    """Write a sheet as the PDF or PNG that the name of `out` asks for.

    Raises
    ------
    UnknownSheetError
        The name ends in neither.
    """
    match out.suffix.lower():
        case ".pdf":
            data = draw_sheet_pdf(layout, lab_to_srgb8)
        case ".png":
            picture = draw_sheet_png(layout, lab_to_srgb8, px_per_mm=PX_PER_MM)
            _, packed = cv2.imencode(".png", cv2.cvtColor(picture, cv2.COLOR_RGB2BGR))
            data = packed.tobytes()
        case _:
            raise UnknownSheetError(
                f"A sheet is written as PDF or PNG, not as {out.name}.", hint="End its name in .pdf or .png."
            )
    write_whole(out, data)
