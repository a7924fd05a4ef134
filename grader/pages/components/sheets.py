"""Cards and mats to print."""

import streamlit as st

from grader.card import draw_sheet_pdf, draw_sheet_png, load_layouts
from grader.card.zones import RULE_MM
from grader.colour import lab_to_srgb8

ADVICE = """
1. Print at 100 % (actual size) on matt white paper. Don't laminate: it reflects.
2. Measure the printed rule with a ruler: it must be {rule_mm:g} mm long, or every length will be wrong by as much.
3. Printers change colours. Use prints of one run to compare with each other; to compare kitchens, have one measured.
   "Inks measured" is such a print, known to the program: a new print of it is not the one that was measured.
"""


def show() -> None:
    """Choose a sheet, see it, take it along."""
    layouts = {layout.key: layout for layout in load_layouts()}
    key = st.selectbox("Sheet", list(layouts), format_func=lambda key: layouts[key].name, key="sheet")
    layout = layouts[key]
    st.markdown(ADVICE.format(rule_mm=RULE_MM))
    st.download_button(
        "Download PDF",
        draw_sheet_pdf(layout, lab_to_srgb8),
        file_name=f"{layout.key}.pdf",
        mime="application/pdf",
        key="sheet_pdf",
        on_click="ignore",
    )
    st.image(draw_sheet_png(layout, lab_to_srgb8, px_per_mm=6), alt=f"{layout.name} as it will look", width=560)
