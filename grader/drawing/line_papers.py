"""The sheets of the fry line to print: the lot test fry, the line sheet; every figure with its unit and who says so."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from grader.drawing.paper import Grid, Notes, Paper, Steps, Told
from grader.language import said, tr
from grader.line.cautions import FRYING, WHOLE_LINE, Caution
from grader.line.lot_fry import TUBERS_AT_LEAST, Lot
from grader.line.sheet import FIGURES, WORDS, LineSheet, range_of, told_fields

_CFR = said("7 CFR 51.3418")
_HOUSE = said("this program's own way")
_LOTS = {Lot.NEW: said("new lot"), Lot.KEPT: said("lot kept back")}

Planned = tuple[Lot, int, int, int]
"""Lot, carton, tuber, basket of one strip, as `lot_fry.plan_lot_fry` plans them."""


def lot_fry_paper(planned: Sequence[Planned]) -> Paper:
    """How to go about a lot test fry, and each basket's strips in their order, to be filled in."""
    baskets = [tuple(strips) for _, strips in groupby(planned, key=lambda one: one[3])]
    return Paper(
        title=tr("Lot test fry"),
        about=(
            Told(
                words=tr(
                    "Strips of a new lot are fried in turn with strips of a lot that was right, in the same oil: what "
                    "oil and timer do is the same for both, and what is left is the potato's."
                )
            ),
            Told(words=tr("Lot: ____________   Lot kept back: ____________   Day: __________   By: ______")),
        ),
        blocks=(
            Steps(heading=tr("What to do"), steps=tuple(_steps(len(baskets)))),
            *(_basket(number, strips) for number, strips in enumerate(baskets, 1)),
            _cautions(FRYING),
        ),
    )


def _steps(baskets: int) -> Iterator[Told]:
    cfr, house = tr(_CFR), tr(_HOUSE)
    yield Told(
        words=tr(
            "Draw at least {tubers} tubers of each lot, without looking, from the cartons named below.",
            tubers=TUBERS_AT_LEAST,
        ),
        source=cfr,
    )
    yield Told(
        words=tr(
            "Cut strips from stem end to blossom end, all alike (1/2 in, 12.7 mm square, in that test); fry the centre "
            "strips."
        ),
        source=cfr,
    )
    yield Told(words=tr("Keep the strips of each tuber together, stem ends one way."), source=house)
    yield Told(
        words=tr(
            "Fry {baskets} baskets, each with strips of both lots: all for the same time, ______ s, at the same "
            "temperature, ______ °C. Let the oil come back to it before each. That test has at least 3 min at 350 °F "
            "(177 °C), or 2 1/2 min at 375 °F (191 °C), unless agreed otherwise.",
            baskets=baskets,
        ),
        source=cfr,
    )
    yield Told(
        words=tr(
            "Lay a basket's strips apart beside the card, in the order of its table, row by row, stem ends towards the "
            "card's upper side, and photograph them: one photo a basket."
        ),
        source=house,
    )
    yield Told(
        words=tr(
            "Give the photos to the program, basket by basket; or enter each strip's place on the house scale, and "
            "whether its stem end is dark, by hand."
        ),
        source=house,
    )


def _basket(number: int, strips: Sequence[Planned]) -> Grid:
    rows, turn = [], 1
    for (lot, carton, tuber), of_tuber in groupby(strips, key=lambda one: one[:3]):
        many = len(tuple(of_tuber))
        order = f"{turn}" if many == 1 else f"{turn}–{turn + many - 1}"
        rows.append((order, tr(_LOTS[lot]), str(carton), str(tuber), "", ""))
        turn += many
    return Grid(
        heading=tr("Basket {number}", number=number),
        headings=(
            tr("Strips, in order"),
            tr("Lot"),
            tr("Carton, number"),
            tr("Tuber, number"),
            tr("Place on the house scale, steps"),
            tr("Stem end dark? yes, no"),
        ),
        rows=tuple(rows),
        widths=(16, 24, 16, 16, 40, 30),
    )


def line_sheet_paper(sheet: LineSheet | None = None, usual: LineSheet | None = None) -> Paper:
    """The line sheet to fill in by hand, or as it was told; what is usual of each figure stands beside it."""
    told = {} if sheet is None else told_fields(sheet)
    figures = tuple(
        (
            tr(figure.title),
            f"{told[name]:g}" if name in told else "",
            tr(figure.unit),
            usual_words(name, usual),
            tr(range_of(name, usual)[2]),
        )
        for name, figure in FIGURES.items()
    )
    words = tuple(
        (tr(title), "   ".join(f"[{'x' if told.get(name) == one else '  '}] {tr(one)}" for one in kind))
        for name, (title, kind) in WORDS.items()
    )
    return Paper(
        title=tr("Line sheet"),
        about=(
            Told(
                words=tr(
                    "One sheet a batch. Leave empty what isn't known; what is unusual is asked about, not refused."
                )
            ),
            Told(
                words=tr("Kitchen: ____________   Fryer: ________   Batch: ____________   Day: __________   By: ______")
            ),
        ),
        blocks=(
            Grid(
                heading=tr("Figures"),
                headings=(tr("What"), tr("This batch"), tr("Unit"), tr("Usual"), tr("Who says so")),
                rows=figures,
                widths=(44, 24, 14, 44, 34),
            ),
            Grid(
                heading=tr("Ways"),
                headings=(tr("What"), tr("Mark one")),
                rows=(*words, (tr("Kind of oil"), str(told.get("oil_kind", "")))),
                widths=(40, 120),
            ),
            _cautions(WHOLE_LINE),
        ),
    )


def usual_words(name: str, usual: LineSheet | None = None) -> str:
    """What is usual of a figure, with its unit; temperatures in both units."""
    low, high, _ = range_of(name, usual)
    unit = FIGURES[name].unit
    span = f"{low:g}–{high:g} {tr(unit)}"
    if unit != "°C":
        return span
    return f"{span} ({1.8 * low + 32:.0f}–{1.8 * high + 32:.0f} °F)"


def _cautions(cautions: Sequence[Caution]) -> Notes:
    told = tuple(Told(words=tr(one.words), source=tr(one.source)) for one in cautions)
    return Notes(heading=tr("Cautions"), notes=told)
