"""The papers that sheets are printed on, and where sheets lie on a page, clear of the printer's margins."""

from dataclasses import dataclass
from itertools import product

from grader.card.model import Layout, Rectangle
from grader.card.zones import RULE_MM
from grader.errors import GraderError

PRINTER_MARGIN_MM = 6.0
"""What an office printer can't reach at each edge of the paper. Common practice, no source: 3 to 6.4 mm."""
CROP_GAP_MM, CROP_MM = 2.0, 4.0
"""Crop marks begin this far outside the sheet and are this long."""

_OUTSIDE_MM = CROP_GAP_MM + CROP_MM
_RULE_STRIP_MM = 8.0
"""Left of cards, for the page's upright rule."""
_FOOT_MM = 22.0
"""Below cards, for the page's level rule and what it says."""


class SheetDoesNotFit(GraderError, ValueError):
    """A sheet larger than what a printer reaches on that paper, or a paper that is not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A size of paper, upright."""

    key: str
    name: str
    width_mm: float
    height_mm: float


PAPERS = (
    Paper(key="a4", name="A4", width_mm=210.0, height_mm=297.0),
    Paper(key="letter", name="Letter", width_mm=215.9, height_mm=279.4),
    Paper(key="a3", name="A3", width_mm=297.0, height_mm=420.0),
    Paper(key="tabloid", name="Tabloid (11 × 17 in)", width_mm=279.4, height_mm=431.8),
    Paper(key="sra3", name="SRA3", width_mm=320.0, height_mm=450.0),
)
"""A sizes: ISO 216. SRA3: ISO 217. Letter and tabloid: ANSI/ASME Y14.1, sizes A and B."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PagePlan:
    """A page as it is printed, lying or upright.

    Attributes
    ----------
    corners_mm
        The top left corner of each sheet on it.
    rules
        100 mm rules beside the sheets, the level one first; none where the sheets carry one each way themselves.
    """

    width_mm: float
    height_mm: float
    corners_mm: tuple[tuple[float, float], ...]
    rules: tuple[Rectangle, ...]


def papers_for(layout: Layout) -> tuple[Paper, ...]:
    """The papers that a sheet fits on, common ones first; none for a sheet that is not to be printed."""
    return tuple(paper for paper in PAPERS if layout.printable and _best_plan(layout, paper))


def chosen_paper(layout: Layout, key: str | None) -> Paper:
    """The paper of that name; without one the first that the sheet fits on.

    Raises
    ------
    SheetDoesNotFit
        There is no such paper, or the sheet doesn't fit on it.
    """
    fitting = {paper.key: paper for paper in papers_for(layout)}
    if not fitting:
        raise SheetDoesNotFit(f"The {layout.name} is not to be printed.", hint="Choose a sheet that `list` names.")
    if key is None:
        return next(iter(fitting.values()))
    if key in fitting:
        return fitting[key]
    hint = f"It fits on: {', '.join(fitting)}."
    if key in {paper.key for paper in PAPERS}:
        raise SheetDoesNotFit(f"This sheet doesn't fit on {key} paper: {layout.name}.", hint=hint)
    raise SheetDoesNotFit(f"The program knows no paper called {key}.", hint=hint)


def plan_page(layout: Layout, paper: Paper) -> PagePlan:
    """Where sheets lie on a page: as many as fit, whichever way the paper is turned.

    Raises
    ------
    SheetDoesNotFit
        Not even one fits.
    """
    plan = _best_plan(layout, paper)
    if plan is None:
        raise SheetDoesNotFit(
            f"This sheet doesn't fit on {paper.name} paper: {layout.name}.",
            hint="Choose larger paper, or a smaller sheet.",
        )
    return plan


def usual_count(plan: PagePlan) -> int:
    """How many sheets to print unless told: a page full, and two at least, since one is kept in the dark to compare."""
    return max(2, len(plan.corners_mm))


def _best_plan(layout: Layout, paper: Paper) -> PagePlan | None:
    plans = [
        _plan(layout, paper.width_mm, paper.height_mm),
        _plan(layout, paper.height_mm, paper.width_mm),
    ]
    best = max(plans, key=lambda plan: len(plan.corners_mm))
    return best if best.corners_mm else None


def _plan(layout: Layout, page_width: float, page_height: float) -> PagePlan:
    """A page of this size; cards leave room for the page's rules, which mats carry themselves."""
    ruled = layout.kind == "card"
    left = PRINTER_MARGIN_MM + (_RULE_STRIP_MM if ruled else 0)
    foot = PRINTER_MARGIN_MM + (_FOOT_MM if ruled else 0)
    across = _offsets(left, page_width - PRINTER_MARGIN_MM, layout.width_mm)
    down = _offsets(PRINTER_MARGIN_MM, page_height - foot, layout.height_mm)
    corners = tuple((x, y) for y, x in product(down, across))
    if not (ruled and corners):
        return PagePlan(width_mm=page_width, height_mm=page_height, corners_mm=corners, rules=())
    level = Rectangle(x_mm=corners[0][0], y_mm=page_height - foot + 1, width_mm=RULE_MM, height_mm=4)
    upright = Rectangle(x_mm=corners[0][0] - _OUTSIDE_MM - 6, y_mm=corners[0][1], width_mm=4, height_mm=RULE_MM)
    return PagePlan(width_mm=page_width, height_mm=page_height, corners_mm=corners, rules=(level, upright))


def _offsets(low: float, high: float, side: float) -> list[float]:
    """Where sheets of this side begin between two bounds, evenly spread, with room for crop marks around each."""
    pitch = side + 2 * _OUTSIDE_MM
    count = int((high - low) // pitch)
    spare = (high - low - count * pitch) / 2
    return [low + spare + _OUTSIDE_MM + k * pitch for k in range(count)]
