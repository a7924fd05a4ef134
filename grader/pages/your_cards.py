"""What the house's cards were measured to be, and whether they have faded."""

import streamlit as st

from grader.language import tr
from grader.pages.components import card_by_chart, cards
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import page_style

page_style()
st.title(tr("Your cards"), anchor=False)

with plain_words():
    cards.show_known()
with plain_words():
    cards.bring_in_readings()
with plain_words():
    card_by_chart.calibrate()
with plain_words():
    cards.compare_twins()
