"""The fry line: what was done with a batch, what may have caused what is seen of it, loads, the house's own time."""

import streamlit as st

from grader.language import tr
from grader.pages.components import line_causes, line_load, line_place, line_sheet_form, line_trial
from grader.pages.components.line_words import show_cautions
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import CAUTION, page_style

page_style()
st.title(tr("The fry line"), anchor=False)

sheet_tab, causes_tab, load_tab, trial_tab = st.tabs(
    [tr("Line sheet"), tr("Likely causes"), tr("Load of a basket"), tr("Your own time")]
)
with sheet_tab, plain_words():
    place = line_place.show_place()
    if place is not None:
        line_sheet_form.show_sheet(place)
    line_sheet_form.show_print(place)
with causes_tab, plain_words():
    line_causes.show_causes(place)
with load_tab, plain_words():
    line_load.show_load()
with trial_tab, plain_words():
    line_trial.show_trial()

show_cautions()
st.caption(tr(CAUTION))
