"""Batches by day and shift, a batch's plates side by side, lots and suppliers, everything to take along."""

import streamlit as st

from grader.language import tr
from grader.pages.components import batch_list
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import CAUTION, page_style

page_style()
st.title(tr("Batches and lots"), anchor=False)

with plain_words():
    batch_list.show()

st.caption(tr(CAUTION))
