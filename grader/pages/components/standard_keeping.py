"""An edited standard taken along as a file, or kept as the next version; and what was kept before."""

from collections.abc import Sequence
from datetime import datetime

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from grader.acts.standards import keep_standard
from grader.errors import DocumentFaulty
from grader.language import retell, tr
from grader.pages.components import acting
from grader.pages.components.manners import heard
from grader.pages.components.plain_words import literal
from grader.pages.components.signing import ask_name, own_name
from grader.pages.components.standard_draft import Checked
from grader.pages.components.standard_form import Form
from grader.records.kept_files import Kept, Signed
from grader.records.kept_standards import BY_AT_MOST, WHY_AT_MOST, load_kept, standards_folder, uses_of
from grader.records.kept_words import change_lines, judged_line, kept_line
from grader.standard import changes, write_standard
from grader.standard.model import Standard

_BY = "mend_by"
"""Initials as they were last given, here or while mending a plate."""


def show_keeping(form: Form, base: Standard, told: Checked, versions: Sequence[Kept]) -> None:
    """What was changed, the file, and the form that keeps it; `versions` are those that it would succeed."""
    st.subheader(tr("Keep it"), anchor=False)
    edited = told.standard
    changed = () if edited is None else changes(base, edited)
    lines = [literal(retell(change)) for change in changed if not change.startswith("version ")]
    st.markdown(
        "  \n".join(lines) if lines else tr("Nothing was changed yet.") if edited else tr("Correct the faults first.")
    )
    st.download_button(
        tr("Download as a file"),
        b"" if edited is None else write_standard(edited).encode(),
        file_name="standard.toml",
        mime="text/plain",
        key=form.key("download"),
        disabled=edited is None,
        on_click="ignore",
    )
    slots = {"version": _field(form, "version", tr("Version"))}
    for message in told.faults.get("version", ()):
        slots["version"].markdown(f":red[✘ {literal(heard(message))}]")
    if not versions:
        slots["key"] = _field(form, "key", tr("Short name, to choose it by"), placeholder="house")
    st.session_state.setdefault(form.key("by"), st.session_state.get(_BY, ""))
    ask_name(tr("Your initials"), key=form.key("by"), at_most=BY_AT_MOST)
    slots["by"] = st.empty()
    slots["why"] = _field(form, "why", tr("Why"), most=WHY_AT_MOST)
    label = tr("Keep as a new version") if versions else tr("Keep as the first version")
    if st.button(label, type="primary", key=form.key("keep"), disabled=edited is None) and edited is not None:
        _keep(form, edited, versions, slots)


def _field(form: Form, field: str, label: str, *, most: int | None = None, placeholder: str = "") -> DeltaGenerator:
    """A line of words, and the place beneath it for what is wrong with them."""
    st.session_state.setdefault(form.key(field), "")
    st.text_input(label, key=form.key(field), max_chars=most, placeholder=placeholder)
    return st.empty()


def _keep(form: Form, edited: Standard, versions: Sequence[Kept], slots: dict[str, DeltaGenerator]) -> None:
    by, why = own_name(str(st.session_state[form.key("by")])), str(st.session_state[form.key("why")])
    key = versions[0].key if versions else str(st.session_state[form.key("key")]).strip()
    signed = Signed(by=by, at=datetime.now().astimezone(), why=why)
    try:
        kept = keep_standard(acting.who_acts(), standards_folder(), key, edited, signed, succeeds=bool(versions))
    except DocumentFaulty as error:
        for fault in error.faults:
            slots.get(fault.field, st).markdown(f":red[✘ {literal(heard(fault.message))}]")
        return
    st.session_state[_BY] = by
    changed = change_lines(load_kept(standards_folder(), key))[kept.turn - 1]
    st.session_state["standard_kept"] = (f"kept:{key}", [kept_line(kept), *changed])
    form.forget()
    st.rerun()


def show_history(versions: Sequence[Kept]) -> None:
    """Each version: who, when, why, what changed, what it judged; the newest first."""
    if not versions:
        return
    with st.expander(tr("Its versions")):
        lines: list[str] = []
        for kept, changed in reversed(list(zip(versions, change_lines(versions), strict=True))):
            lines += [retell(kept_line(kept)), tr("why: {text}", text=kept.signed.why)]
            lines += [retell(change.strip()) for change in changed]
            lines += [retell(judged_line(uses_of(standards_folder(), kept))), f"sha256 {kept.sha256}"]
        st.markdown("  \n".join(map(literal, lines)))
