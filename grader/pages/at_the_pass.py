"""At the pass: one photo, one word. Made for a phone, one hand and a minute."""

import streamlit as st

from grader.language import tr
from grader.pages.components import pass_batch
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import CAUTION, page_style

page_style()
st.title(tr("At the pass"), anchor=False)

with plain_words():
    pass_batch.show()

st.caption(tr(CAUTION))
