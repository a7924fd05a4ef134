"""A sealed file checked on the page, by anybody: it takes the file, and what its reader was given another way."""

import streamlit as st

from grader.acts.evidence import verify
from grader.evidence.check import Check, Holds
from grader.evidence.plain_check import NOT_PROVEN
from grader.evidence.stamps import read_roots
from grader.evidence.verifying import Asked, Verified
from grader.language import retell, said, tr, trn
from grader.pages.components import acting
from grader.pages.components.plain_words import literal

_TITLES = {
    Holds.NO: said("Does not hold"),
    Holds.YES: said("Holds"),
    Holds.OPEN: said("Stays open"),
}
_SIGNS = {Holds.NO: "✘", Holds.YES: "✔", Holds.OPEN: "?"}


def show() -> None:
    """The file, what is known of it from elsewhere, what came out."""
    st.markdown(tr("You need no account and no trust in who sent you the file. It stays on this machine."))
    file = st.file_uploader(tr("Sealed file (.zip)"), type=["zip"], key="check_file")
    with st.expander(tr("What you were given another way: on paper, by telephone, in the contract")):
        key = st.text_input(tr("Fingerprint of their key"), key="check_key")
        head = st.text_input(tr("Hash of a record of their chain"), key="check_head")
        lot = st.text_input(tr("Lot number"), key="check_lot")
        trusted = st.file_uploader(
            tr("Certificates of time-stamp servers that you trust (PEM)"), type=["pem", "crt"], key="check_roots"
        )
    grading = st.checkbox(tr("Grade the photos again (a few seconds each)"), value=True, key="check_grading")
    if file is None or not st.button(tr("Check the file"), type="primary", key="check_asked"):
        return
    roots = () if trusted is None else read_roots(trusted.getvalue())
    asked = Asked(key=key, head=head, lot=lot, roots=roots, grading=grading, workers=1)
    bar = st.progress(0.0, text=tr("Checking"))

    def tell(done: int, of: int) -> None:
        bar.progress(done / of, text=tr("Graded {done} of {of}", done=done, of=of))

    verified = verify(acting.who_acts(), file.getvalue(), asked, done=tell)
    bar.empty()
    _tell(verified)


def _tell(verified: Verified) -> None:
    manifest = verified.manifest
    if manifest is not None:
        st.subheader(literal(retell(manifest.about)), anchor=False)
        if manifest.invented:
            st.info(tr("Invented: an example."))
        made = tr("Made on {day} by {who}", day=f"{manifest.made:%Y-%m-%d %H:%M} UTC", who=literal(manifest.made_by))
        st.markdown(f"{made}. {trn('{n} plate', '{n} plates', len(manifest.plates))}.")
        if manifest.statement:
            st.markdown(f"> {literal(manifest.statement)}")
    headline = retell(verified.headline)
    (st.success if verified.holds else st.error)(literal(headline))
    for holds, title in _TITLES.items():
        told = [check for check in verified.checks if check.holds is holds]
        if told:
            st.markdown(f"**{tr(title)}**")
            st.markdown("\n".join(_line(check) for check in told))
    with st.expander(tr("What a signature and these checks do not prove"), expanded=True):
        st.markdown("\n".join(f"- {literal(retell(words).rstrip(';'))}" for words in NOT_PROVEN))


def _line(check: Check) -> str:
    return f"- {_SIGNS[check.holds]} {literal(retell(check.words))}"
