"""Cards and mats to print."""

from datetime import datetime

import numpy as np
import streamlit as st

from grader.card import (
    draw_run,
    imprint_run,
    load_layouts,
    papers_for,
    plan_page,
    usual_count,
)
from grader.card.imprint import DEFAULT_MONTHS, MOST_MONTHS
from grader.card.model import Layout
from grader.card.papers import Paper
from grader.card.printing import draw_sheet_png, draw_sheets_pdf
from grader.card.zones import RULE_MM
from grader.colour import lab_to_srgb8
from grader.language import retell, said, tr

_MOST_AT_ONCE = 40

ADVICE = said("""
1. Print at 100 % (actual size), one side only, on matt white paper without brighteners, colour management off.
2. Measure the printed rules with a ruler: each must be {rule_mm} mm long, or every length will be wrong by as much.
3. Let it dry for a day. Keep it clean, flat and in the dark; no glossy lamination.
4. Printers change colours. All sheets of one print run compare with each other; have one of them measured.

The last page of the PDF says all this, and how to use and renew the sheet.
""")


def show() -> None:
    """Choose a sheet and its print run, see it, take it along."""
    layouts = {layout.key: layout for layout in load_layouts() if layout.printable}
    layout = layouts[
        st.selectbox(tr("Sheet"), list(layouts), format_func=lambda key: retell(layouts[key].name), key="sheet")
    ]
    papers = {paper.key: paper for paper in papers_for(layout)}
    paper = papers[
        st.selectbox(tr("Paper"), list(papers), format_func=lambda key: papers[key].name, key=f"paper_{layout.key}")
    ]
    _run(layout, paper)


def _run(layout: Layout, paper: Paper) -> None:
    """The print run: how many, named how, until when; and its PDF."""
    drawn = st.session_state.setdefault("drawn_run", draw_run(np.random.default_rng()))
    usual = usual_count(plan_page(layout, paper))
    left, middle, right = st.columns(3)
    count = left.number_input(tr("Sheets"), 1, _MOST_AT_ONCE, value=usual, key=f"count_{layout.key}_{paper.key}")
    first = middle.number_input(tr("First number"), 1, 999, value=1, key="first_number")
    months = right.number_input(tr("Months until renewal"), 1, MOST_MONTHS, value=DEFAULT_MONTHS, key="months")
    name = st.text_input(
        tr("Print run"), value=drawn, key="run_name", help=tr("To print more of an earlier run, type its name here.")
    )
    imprints = imprint_run(
        name.strip().upper(),
        first=int(first),
        count=int(count),
        printed=datetime.now().astimezone().date(),
        months=int(months),
    )
    st.markdown(tr(ADVICE, rule_mm=f"{RULE_MM:g}"))
    st.download_button(
        tr("Download PDF"),
        draw_sheets_pdf(layout, lab_to_srgb8, paper=paper, imprints=imprints),
        file_name=f"{layout.key}-{imprints[0].serial.run}.pdf",
        mime="application/pdf",
        key="sheet_pdf",
        on_click="ignore",
    )
    st.image(
        draw_sheet_png(layout, lab_to_srgb8, px_per_mm=6, imprint=imprints[0]),
        alt=tr("{name} as it will look", name=retell(layout.name)),
        width=560,
    )
