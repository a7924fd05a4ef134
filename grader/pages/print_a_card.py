"""A card or a mat to print."""

import streamlit as st

from grader.language import tr
from grader.pages.components import sheets
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import page_style

page_style()
st.title(tr("Print a card"), anchor=False)

with plain_words():
    sheets.show()
