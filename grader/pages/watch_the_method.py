"""How far the method itself can be trusted: a study of it, guided photo by photo."""

import streamlit as st

from grader.pages.components import gauge_study
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import CAUTION, page_style

page_style()
st.title("Watch the method", anchor=False)

with plain_words():
    gauge_study.show()

st.caption(CAUTION)
