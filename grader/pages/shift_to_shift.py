"""From shift to shift: charts of what the records hold, what changed and when; shifts compared; capability."""

import streamlit as st

from grader.language import tr
from grader.pages.components import shift_charts, shift_compare
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import CAUTION, page_style

page_style()
st.title(tr("Shift to shift"), anchor=False)

with plain_words():
    standard = shift_charts.show()
    if standard is not None:
        shift_compare.show(standard)

st.caption(tr(CAUTION))
