"""Training the eye: call plates before their verdict shows, see how far everybody agrees, hang up the scale."""

import streamlit as st

from grader.language import tr
from grader.pages.components import eye_training
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import CAUTION, page_style

page_style()
st.title(tr("Train the eye"), anchor=False)

with plain_words():
    eye_training.show_calling()
with plain_words():
    eye_training.show_agreement()
with plain_words():
    eye_training.show_wall_guide()

st.caption(tr(CAUTION))
