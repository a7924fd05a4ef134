"""A lot of potatoes as it comes in: how dense, how heavy, and whether it can make the house's fry."""

import streamlit as st

from grader.language import tr
from grader.pages.components import lot_fry_flow, lot_intake
from grader.pages.components.line_words import show_cautions
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import CAUTION, page_style

page_style()
st.title(tr("A new lot"), anchor=False)

fry_tab, weigh_tab, float_tab, carton_tab = st.tabs(
    [tr("Lot test fry"), tr("Weighed in water"), tr("Salt baths"), tr("Cartons")]
)
with fry_tab, plain_words():
    lot_fry_flow.show_flow()
with weigh_tab, plain_words():
    lot_intake.show_weighing()
with float_tab, plain_words():
    lot_intake.show_baths()
with carton_tab, plain_words():
    lot_intake.show_carton()

show_cautions()
st.caption(tr(CAUTION))
