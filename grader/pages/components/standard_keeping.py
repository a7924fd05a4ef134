"""An edited standard taken along as a file, or kept as the next version; and what was kept before."""

from collections.abc import Sequence
from datetime import datetime

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from grader.errors import DocumentFaulty
from grader.pages.components.plain_words import literal
from grader.pages.components.standard_draft import Checked
from grader.pages.components.standard_form import Form
from grader.records.kept_files import Kept, Signed
from grader.records.kept_standards import BY_AT_MOST, WHY_AT_MOST, keep_standard, load_kept, standards_folder
from grader.records.kept_words import change_lines, history_lines, kept_line
from grader.standard import changes, write_standard
from grader.standard.model import Standard

_BY = "mend_by"
"""Initials as they were last given, here or while mending a plate."""


def show_keeping(form: Form, base: Standard, told: Checked, versions: Sequence[Kept]) -> None:
    """What was changed, the file, and the form that keeps it; `versions` are those that it would succeed."""
    st.subheader("Keep it", anchor=False)
    edited = told.standard
    changed = () if edited is None else changes(base, edited)
    lines = [literal(change) for change in changed if not change.startswith("version ")]
    st.markdown("  \n".join(lines) if lines else "Nothing was changed yet." if edited else "Correct the faults first.")
    st.download_button(
        "Download as a file",
        b"" if edited is None else write_standard(edited).encode(),
        file_name="standard.toml",
        mime="text/plain",
        key=form.key("download"),
        disabled=edited is None,
        on_click="ignore",
    )
    slots = {"version": _field(form, "version", "Version")}
    for message in told.faults.get("version", ()):
        slots["version"].markdown(f":red[✘ {literal(message)}]")
    if not versions:
        slots["key"] = _field(form, "key", "Short name, to choose it by", placeholder="house")
    slots["by"] = _field(form, "by", "Your initials", most=BY_AT_MOST, start=st.session_state.get(_BY, ""))
    slots["why"] = _field(form, "why", "Why", most=WHY_AT_MOST)
    label = "Keep as a new version" if versions else "Keep as the first version"
    if st.button(label, type="primary", key=form.key("keep"), disabled=edited is None) and edited is not None:
        _keep(form, edited, versions, slots)


def _field(
    form: Form, field: str, label: str, *, most: int | None = None, placeholder: str = "", start: str = ""
) -> DeltaGenerator:
    """A line of words, and the place beneath it for what is wrong with them."""
    st.session_state.setdefault(form.key(field), start)
    st.text_input(label, key=form.key(field), max_chars=most, placeholder=placeholder)
    return st.empty()


def _keep(form: Form, edited: Standard, versions: Sequence[Kept], slots: dict[str, DeltaGenerator]) -> None:
    by, why = (str(st.session_state[form.key(field)]) for field in ("by", "why"))
    key = versions[0].key if versions else str(st.session_state[form.key("key")]).strip()
    signed = Signed(by=by, at=datetime.now().astimezone(), why=why)
    try:
        kept = keep_standard(standards_folder(), key, edited, signed, succeeds=bool(versions))
    except DocumentFaulty as error:
        for fault in error.faults:
            slots.get(fault.field, st).markdown(f":red[✘ {literal(fault.message)}]")
        return
    st.session_state[_BY] = by
    changed = change_lines(load_kept(standards_folder(), key))[kept.turn - 1]
    st.session_state["standard_kept"] = (f"kept:{key}", [kept_line(kept), *changed])
    form.forget()
    st.rerun()


def show_history(versions: Sequence[Kept]) -> None:
    """Each version: who, when, why, what changed, what it judged."""
    if versions:
        with st.expander("Its versions"):
            st.markdown("  \n".join(literal(line.strip()) for line in history_lines(standards_folder(), versions)))
