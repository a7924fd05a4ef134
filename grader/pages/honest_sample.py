"""An honest sample: times that are drawn, as many plates as the wanted risk needs, and what they cost."""

import streamlit as st

from grader.language import tr
from grader.pages.components import honest_sample
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import CAUTION, page_style

page_style()
st.title(tr("Honest sample"), anchor=False)

with plain_words():
    honest_sample.show_times()
with plain_words():
    honest_sample.show_plates_needed()
with plain_words():
    honest_sample.show_waste()

st.caption(tr(CAUTION))
