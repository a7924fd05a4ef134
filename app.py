"""The page: `streamlit run app.py`."""

from pathlib import Path

import streamlit as st

from grader import pages
from grader.requirements_check import missing

st.set_page_config(page_title="Fry grader", page_icon="🍟", layout="centered")

lacking = missing()
if lacking is not None:
    st.error(lacking)
    st.stop()

folder = Path(pages.__file__).parent
st.navigation(
    [
        st.Page(folder / "judge_a_batch.py", title="Judge a batch", icon=":material/photo_camera:", default=True),
        st.Page(folder / "house_standard.py", title="House standard", icon=":material/tune:"),
        st.Page(folder / "print_a_card.py", title="Print a card", icon=":material/print:"),
        st.Page(folder / "your_cards.py", title="Your cards", icon=":material/palette:"),
        st.Page(folder / "shift_to_shift.py", title="Shift to shift", icon=":material/timeline:"),
        st.Page(folder / "watch_the_method.py", title="Watch the method", icon=":material/straighten:"),
    ],
    position="top",
).run()
