"""Photos of one batch in, the judged batch out."""

import streamlit as st

from grader.language import tr
from grader.pages.components import choosing, grading, records_keeping, results
from grader.pages.components.plain_words import plain_words
from grader.pages.components.words import CAUTION, page_style

page_style()
st.title(tr("Judge a batch"), anchor=False)

verdict = st.container()  # above what was chosen: the verdict comes first

with plain_words():
    photos = choosing.photos()
    standard = choosing.standard()
    if standard is not None and photos:
        with verdict:
            batch = grading.grade_batch(photos, standard)
            results.show_verdict(batch)
        results.show_details(batch)
        records_keeping.show_records_keeping(batch)

st.caption(tr(CAUTION))
