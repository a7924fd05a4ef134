"""How far the method itself can be trusted: a study of it guided photo by photo, and the card alone each shift."""

import streamlit as st

from grader.language import tr
from grader.pages.components import control_photo, gauge_study
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import CAUTION, page_style

page_style()
st.title(tr("Watch the method"), anchor=False)

with plain_words():
    gauge_study.show()

with plain_words():
    control_photo.show()

st.caption(tr(CAUTION))
