"""The house standard: edited while a sample plate shows what that does, kept as a new version, taken along."""

import streamlit as st

from grader.language import retell, tr
from grader.pages.components import choosing, standard_form, standard_keeping, standard_preview, standard_scale
from grader.pages.components.plain_words import literal, plain_words
from grader.pages.components.words import CAUTION, page_style
from grader.records.kept_standards import next_version
from grader.standard import standard_sha256

page_style()
st.title(tr("House standard"), anchor=False)

with plain_words():
    kept_now = st.session_state.pop("standard_kept", None)
    if kept_now is not None:
        st.session_state["edited_standard"], lines = kept_now
        st.success("  \n".join(literal(retell(line.strip())) for line in lines))
    chosen = choosing.standard_to_edit()
    if chosen is not None:
        base, versions = chosen
        form = standard_form.Form(token=standard_sha256(base)[:12])
        values = form.begin(base, version=next_version(versions) if versions else base.version)
        preview = standard_preview.make_places()
        told = standard_form.show_form(form, values)
        if told.standard is not None:
            standard_scale.show_scale_from_plates(form, told.standard)
        standard_keeping.show_keeping(form, base, told, versions)
        standard_keeping.show_history(versions)
        standard_preview.show_preview(preview, form.token, base, told)

st.caption(tr(CAUTION))
