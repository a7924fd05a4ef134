"""The batch at hand, from the first shot to its end."""

import streamlit as st

from grader.drawing.signs import SIGNS
from grader.language import retell, tr, trn
from grader.pages.components import pass_checks, pass_judging, pass_telling
from grader.pages.components.colour_call import ask_call
from grader.pages.components.pass_setting import PassSetting, show_setting
from grader.pages.components.pass_shots import Batch, batch, begin_anew, outlast_reload, take_back_last, take_shot
from grader.pages.components.pass_times import show_next_time
from grader.pages.components.plain_picture import plain_picture
from grader.pages.components.plain_words import literal
from grader.standard.model import Standard


def show() -> None:
    """Verdict first, then the next shot; below both, what is told once."""
    verdict_place, shot_place, checks_place = st.container(), st.container(), st.container()
    told = show_setting()
    if told.standard is None:
        return
    now = batch()
    with shot_place:
        _tell_finished()
        show_next_time(told)
        came = take_shot(now, told.house, clock_words=told.now.strftime("%H:%M:%S"))
    with verdict_place:
        _judge_last(now, told, told.standard)
    if came:
        st.rerun()
    with verdict_place:
        _show(now, told, told.standard)
    last = len(now.shots) - 1
    if last in now.kept:
        with checks_place:
            pass_checks.show_checks(now.kept[last].plate_id, by=told.by)


def _judge_last(now: Batch, told: PassSetting, standard: Standard) -> None:
    """Grade what came last, before the batch is told: a refused photo leaves it at once.

    Not only in the run in which it came: a tap or a reload meanwhile cuts that run off.
    """
    if not now.shots or len(now.shots) - 1 in now.kept:
        return
    last = pass_judging.judge_shots(now.shots[-1:], standard)[0]
    if last.seen.graded.refused:
        pass_judging.keep_refused(last, now, told, standard)
        take_back_last(now)


def _show(now: Batch, told: PassSetting, standard: Standard) -> None:
    if now.refused is not None:
        pass_telling.show_refused(pass_judging.judge_shots([now.refused], standard)[0])
    if not now.shots:
        _tell_unchained(now)
        return
    if now.carried_on:
        st.caption(tr("Carried on: this batch was not finished before the page was loaded again."))
    if told.call_first and not _called(now, standard):
        return
    judged = pass_judging.judge_shots(now.shots, standard)
    verdict = pass_judging.verdict_of(judged, standard)
    pass_telling.show_verdict(verdict, judged, standard)
    if pass_judging.keep_new(now, judged, told, standard):
        outlast_reload(now)
    if now.kept:
        kept = trn("{n} plate kept.", "{n} plates kept.", len(now.kept))
        st.caption(f":material/check: {literal(kept)}")
    _tell_unchained(now)
    if st.button(tr("Finish this batch"), key="pass_finish", width="stretch"):
        finished = pass_judging.finish(now, verdict, told, standard)
        st.session_state["pass_finished"] = (None if verdict is None else verdict.outcome, len(judged), finished)
        begin_anew()
        st.rerun()


def _tell_unchained(now: Batch) -> None:
    if now.unchained:
        st.warning(literal(retell(now.unchained)))


def _called(now: Batch, standard: Standard) -> bool:
    """Whether the cook called the newest plate; where not, it is asked beside the photo, without any verdict."""
    last = len(now.shots) - 1
    if last in now.calls or now.shots[last].what != "plain":
        return True
    photo = pass_judging.photo_of(pass_judging.judge_shots(now.shots[-1:], standard)[0], standard)
    if photo is None:
        return True
    st.image(plain_picture(photo.pixels), alt=tr("A plate of fries to call, without any verdict"), width="stretch")
    call = ask_call(f"call_{now.turn}")
    if call is None:
        return False
    now.calls[last] = call
    outlast_reload(now)
    return True


def _tell_finished() -> None:
    """What became of the batch before, once."""
    before = st.session_state.pop("pass_finished", None)
    if before is None:
        return
    outcome, plates, kept = before
    words = trn("Batch of {n} plate: {word}.", "Batch of {n} plates: {word}.", plates, word=retell(SIGNS[outcome].word))
    st.info(literal(words + " " + (tr("Its decision is kept.") if kept else tr("It was not kept."))))
    st.caption(tr("The sample plate is a sample: it never goes back to service."))
