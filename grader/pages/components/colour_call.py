"""Three big buttons: a cook's own call of a plate's colour, asked before any verdict shows."""

import streamlit as st

from grader.language import said, tr
from grader.records.database.colour_calls import CALLS

CALL_WORDS = {"pale": said("Too pale"), "right": said("Right"), "dark": said("Too dark")}


def ask_call(key: str) -> str | None:
    """What the cook calls it; None until she does."""
    st.markdown(f"**{tr('What do you call its colour?')}**")
    with st.container(horizontal=True):
        pressed = {one: st.button(tr(CALL_WORDS[one]), key=f"{key}_{one}", width="stretch") for one in CALLS}
    return next((one for one, was in pressed.items() if was), None)


def call_word(call: str) -> str:
    """A call in the visitor's language; a dash where there is none."""
    return tr(CALL_WORDS[call]) if call else "–"
