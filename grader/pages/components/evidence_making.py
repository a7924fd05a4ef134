"""The sealed file of a lot on the page: choose the lot, see what would be in it, say something, make it."""

from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime

import streamlit as st

from grader.acts.evidence import make_case, make_key, note_made, seal
from grader.evidence.arrivals import IN_TIME
from grader.evidence.case_making import STATEMENT_AT_MOST, Wanted, left_out
from grader.evidence.commitments import draws_by, sealed_plan
from grader.evidence.custody import TwoClocks, clock_words
from grader.evidence.dossier import draw_dossier
from grader.evidence.journal import Journal, house_journal
from grader.evidence.keyring import Keyring
from grader.evidence.keys import PASSPHRASE_AT_LEAST
from grader.evidence.method_study import method_lines
from grader.evidence.recorded import Choosable, RecordedPlate, choosable, recorded_plates
from grader.language import retell, tr, trn
from grader.pages.components import acting
from grader.pages.components.plain_words import literal
from grader.pages.components.signing import ask_name
from grader.records.database import House, open_house
from grader.records.gauge_studies import named_folder, study_names

_MADE = "evidence_made"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Made:
    """A file that was made, until another is asked for."""

    tag: str
    file: bytes
    dossier: bytes
    fingerprint: str
    head: str
    left_out: tuple[str, ...]


def show() -> None:
    """From the lot to the file."""
    keyring = Keyring(journal=house_journal())
    if not _has_key(keyring):
        return
    with closing(open_house()) as house:
        offered = choosable(house)
        if not offered:
            st.info(tr("The records hold no plate yet. Keep plates with their lot first."))
            return
        chosen = st.selectbox(
            tr("Lot, or batch without a lot"),
            offered,
            format_func=lambda one: retell(one.about),  # words that change, as its plates do, choose another
            key="evidence_lot",
        )
        plates = recorded_plates(house, tag=chosen.tag)
        _show_contents(keyring.journal, chosen, plates)
        _ask(house, keyring, chosen)
    made = st.session_state.get(_MADE)
    if isinstance(made, _Made) and made.tag == chosen.tag:
        _hand_out(made, chosen)


def _has_key(keyring: Keyring) -> bool:
    """Whether a key signs; else the form that makes one."""
    if any(life.revoked is None for life in keyring.lives().values()):
        return True
    st.markdown(
        tr(
            "Evidence is signed with a key of your house. Make it before there is a dispute, and hand its fingerprint "
            "to the other side on paper."
        )
    )
    with st.form("evidence_key"):
        by = ask_name(tr("Your initials"), key="evidence_key_by")
        told = tr("Passphrase, at least {n} characters. Nobody can find a lost one.", n=PASSPHRASE_AT_LEAST)
        passphrase = st.text_input(told, type="password", key="evidence_key_words")
        asked = st.form_submit_button(tr("Make the key"), type="primary")
    if not asked:
        return False
    life = make_key(acting.who_acts(), keyring, passphrase, by=by)
    st.success(tr("The key's fingerprint: {fingerprint}", fingerprint=life.public.spoken))
    return True


def _show_contents(journal: Journal, chosen: Choosable, plates: Sequence[RecordedPlate]) -> None:
    """What would be in the file, before it is made."""
    st.subheader(tr("What would be in the file"), anchor=False)
    st.caption(literal(trn("{n} plate", "{n} plates", len(plates))))
    plans = journal.of_kind("sealed")
    plan = sealed_plan(plans, chosen.tag)
    draws = [] if plan is None else draws_by(plan, [*plans, *journal.of_kind("drawn")])
    chained = journal.plates()
    if plan is None or plan.body is None:
        st.warning(tr("No plan was sealed before the plates were taken; the file says so. Next time: `evidence plan`."))
    else:
        st.markdown(
            tr(
                "Sealed before: {standard}, {draw} of {units} units, {plates} plates. {words}",
                standard=literal(f"{plan.body['standard_name']} ({plan.body['standard_version']})"),
                draw=plan.body["draw"],
                units=plan.body["units"],
                plates=plan.body["plates"],
                words=literal(plan.body["words"]),
            )
        )
    if draws:
        units = ", ".join(str(unit) for unit in (draws[-1].body or {})["drawn"])
        st.markdown(tr("Drawn in front of both: {units}", units=units))
    st.dataframe(
        {
            tr("Photo"): [plate.name for plate in plates],
            tr("Batch"): [plate.batch for plate in plates],
            tr("In the chain"): [_chained(plate, chained) for plate in plates],
            tr("Both clocks"): [retell(clock_words(_clocks(plate))) for plate in plates],
            tr("Mended (left out)"): ["; ".join(plate.mends) for plate in plates],
        },
        hide_index=True,
    )
    st.markdown(
        tr(
            "Besides: every reading, the standard, the values of the cards, the studies behind them, the chain of "
            "records, the dossier as PDF, and how to check it all. Nothing mended by hand counts."
        )
    )


def _clocks(plate: RecordedPlate) -> TwoClocks:
    return TwoClocks(camera=plate.camera, zone_told=False, arrived=plate.kept_at)


def _chained(plate: RecordedPlate, chained: frozenset[tuple[str, str]]) -> str:
    if (plate.photo_sha256, plate.tag) in chained:
        return tr("yes")
    late = datetime.now(UTC) - plate.kept_at > IN_TIME
    return tr("not yet; marked as late") if late else tr("not yet")


def _ask(house: House, keyring: Keyring, chosen: Choosable) -> None:
    """What its maker says, and the button."""
    with st.form("evidence_make"):
        statement = st.text_area(tr("What you say besides"), max_chars=STATEMENT_AT_MOST, key="evidence_statement")
        study = st.selectbox(
            tr("Study of the method"),
            ["", *study_names()],
            format_func=lambda one: one or tr("none"),
            key="evidence_study",
        )
        by = ask_name(tr("Your initials"), key="evidence_by")
        passphrase = st.text_input(tr("Passphrase of the signing key"), type="password", key="evidence_passphrase")
        asked = st.form_submit_button(tr("Make the file"), type="primary")
    if not asked:
        return
    key = keyring.unlocked(passphrase)
    bar = st.progress(0.0, text=tr("Grading the photos again"))
    gauge = method_lines(named_folder(study)) if study else ()
    wanted = Wanted(tag=chosen.tag, by=by, statement=statement, gauge=gauge)

    def tell(done: int, of: int) -> None:
        bar.progress(done / of, text=tr("Graded {done} of {of}", done=done, of=of))

    # One process: the page's own is not to be started anew for each core.
    case = make_case(acting.who_acts(), house, keyring.journal, wanted, key.public, workers=1, done=tell)
    dossier = draw_dossier(case, key.public)
    sealed = seal(acting.who_acts(), case, dossier, key)
    note_made(acting.who_acts(), keyring.journal, case, sealed.manifest)
    bar.empty()
    st.session_state[_MADE] = _Made(
        tag=chosen.tag,
        file=sealed.data,
        dossier=dossier,
        fingerprint=key.public.spoken,
        head=case.entries[-1].link.hash,
        left_out=left_out(case),
    )


def _hand_out(made: _Made, chosen: Choosable) -> None:
    st.success(tr("Made. Hand the file over, and these two lines another way than the file:"))
    st.code(f"{made.fingerprint}\n{made.head}", language=None, wrap_lines=True)
    if made.left_out:
        st.warning(
            tr(
                "Left out, because they were withdrawn or moved to another lot since: {names}. So the file doesn't "
                "hold: its check tells that plates of the lot were left out.",
                names=literal(", ".join(made.left_out)),
            )
        )
    st.download_button(
        tr("Sealed file ({mb} MB)", mb=f"{len(made.file) / 1e6:.1f}"),
        made.file,
        f"evidence-{chosen.tag}.zip",
        key="evidence_zip",
    )
    st.download_button(tr("Only the dossier (PDF)"), made.dossier, f"dossier-{chosen.tag}.pdf", key="evidence_pdf")
