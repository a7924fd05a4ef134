"""Evidence for a dispute: one sealed file of a lot that the other side can check."""

import streamlit as st

from grader.language import tr
from grader.pages.components import evidence_making
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import CAUTION, page_style

page_style()
st.title(tr("Evidence"), anchor=False)

with plain_words():
    evidence_making.show()

st.caption(tr(CAUTION))
