"""From shift to shift: charts of what the records hold, what stands out, what changed and when."""

import streamlit as st

from grader.pages.components import shift_charts
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import CAUTION, page_style

page_style()
st.title("Shift to shift", anchor=False)

with plain_words():
    shift_charts.show()

st.caption(CAUTION)
