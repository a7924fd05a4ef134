"""A sealed file checked by whoever got it."""

import streamlit as st

from grader.language import tr
from grader.pages.components import evidence_checking
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import CAUTION, page_style

page_style()
st.title(tr("Check a sealed file"), anchor=False)

with plain_words():
    evidence_checking.show()

st.caption(tr(CAUTION))
