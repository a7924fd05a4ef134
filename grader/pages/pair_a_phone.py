"""A square code that pairs one phone to a kitchen for a shift."""

import streamlit as st

from grader.language import tr
from grader.pages.components import pairing
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import page_style

page_style()
st.title(tr("Pair a phone"), anchor=False)

with plain_words():
    pairing.show()
