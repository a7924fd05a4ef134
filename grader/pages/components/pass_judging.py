"""The batch at the pass, judged plate by plate and kept as it grows; what was kept is never asked for again."""

from contextlib import closing
from dataclasses import dataclass, replace
from datetime import UTC, datetime

import streamlit as st

from grader.acts.plates import keep_call, keep_decision, keep_facts, keep_graded, know_kitchen
from grader.decision.model import Verdict
from grader.errors import GraderError
from grader.evidence.arrivals import Chainer
from grader.grading import METHOD_VERSION, GradedPhoto
from grader.language import retell, tr
from grader.pages.components import acting
from grader.pages.components.grading import SeenPhoto, grader
from grader.pages.components.pass_setting import PassSetting
from grader.pages.components.pass_shots import Batch, Shot
from grader.pages.components.pass_times import drawn_times
from grader.pages.components.plain_words import literal
from grader.photo import Photo
from grader.records.agreement import method_call
from grader.records.database import House, Setting, open_house
from grader.records.database.colour_calls import Called
from grader.records.database.figures import plate_figures
from grader.records.database.line_sheets import batch_on_line
from grader.records.database.plate_checks import PlateFacts
from grader.records.house import kept_studies, known_today
from grader.seasoned import judge_some_seasoned
from grader.standard.model import Standard


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JudgedShot:
    """A shot and what was found on it."""

    shot: Shot
    seen: SeenPhoto


def judge_shots(shots: list[Shot], standard: Standard) -> list[JudgedShot]:
    """Every shot graded, or recalled, with a bar that says what is being done."""
    known, studies = known_today(), kept_studies()
    bar = st.progress(0.0, text=tr("Waiting for its turn"))
    judged = []
    for shot in shots:

        def tell(share: float, doing: str) -> None:
            bar.progress(min(max(share, 0.0), 1.0), text=retell(doing))

        seen = grader().grade(shot.name, shot.data, standard, tell, known=known, studies=studies)
        grader().note(seen, standard)
        if shot.what == "seasoned" and not seen.graded.refused:
            seen = grader().withhold(seen, shot.data, standard)
        judged.append(JudgedShot(shot=shot, seen=seen))
    bar.empty()
    return judged


def verdict_of(judged: list[JudgedShot], standard: Standard) -> Verdict | None:
    """The verdict over the plates of the batch; looks don't count."""
    plates = [one.seen.graded for one in judged if one.shot.what != "look"]
    seasoned = any(one.shot.what == "seasoned" for one in judged)
    return judge_some_seasoned(plates, standard, seasoned=seasoned)


def keep_new(now: Batch, judged: list[JudgedShot], told: PassSetting, standard: Standard) -> bool:
    """Keep every plate that isn't yet, and say so only once it lasts; whether any was."""
    waiting = [k for k, one in enumerate(judged) if k not in now.kept and one.shot.what != "look"]
    if not waiting:
        return False
    if not told.kitchen:
        st.warning(tr("Not kept yet: name the kitchen below, and every plate of this visit is kept."))
        return False
    try:
        with closing(open_house()) as house:
            know_kitchen(acting.who_acts(), house, told.setting(now.name))
            chainer = Chainer.of(house)
            for k in waiting:
                _keep(house, now, k, judged[k], told, standard)
                now.unchained = chainer.chain()
    except (GraderError, OSError) as error:
        st.error(tr("Not kept yet; it is tried again at the next tap.") + f" {literal(str(error))}")
    return any(k in now.kept for k in waiting)


def keep_refused(one: JudgedShot, now: Batch, told: PassSetting, standard: Standard) -> None:
    """Every shot is kept, one that was refused too: nobody can throw away the plates that they don't like."""
    if not told.kitchen:
        return
    with closing(open_house()) as house:
        know_kitchen(acting.who_acts(), house, told.setting(now.name))
        whole, chainer = grader().whole(one.seen, one.shot.data, standard), Chainer.of(house)
        setting = _setting(house, now, told)
        keep_graded(acting.who_acts(), house, whole, one.shot.data, standard=standard, setting=setting)
        now.unchained = chainer.chain()


def _setting(house: House, now: Batch, told: PassSetting) -> Setting:
    """Where the plates come from; after midnight they still belong to the day on which their batch began."""
    begun = (batch_on_line(house, kept.batch_id) for kept in now.kept.values())
    day = next((one.day for one in begun if one.name == now.name), None)  # a photo kept before stays in its own batch
    return replace(told.setting(now.name), day=day)


def _keep(house: House, now: Batch, k: int, one: JudgedShot, told: PassSetting, standard: Standard) -> None:
    data = one.shot.data
    whole = grader().whole(one.seen, data, standard)
    setting = _setting(house, now, told)
    kept = keep_graded(acting.who_acts(), house, whole, data, standard=standard, setting=setting)
    drawn = drawn_times(told)
    facts = PlateFacts(
        seasoned=one.shot.what == "seasoned",
        lifted_s=one.shot.lifted_s,
        window_from_s=told.house.lift_from_s,
        window_until_s=told.house.lift_until_s,
        sample_at=None if drawn is None else drawn.taken_for(told.now),
    )
    keep_facts(acting.who_acts(), house, kept.plate_id, facts, by=told.by)
    if k in now.calls:
        called = Called(
            by=told.by,
            at=datetime.now(UTC),
            photo_sha256=whole.sha256,
            called=now.calls[k],
            method=method_call(mean_place(whole, standard), standard.scale),
            again=False,
        )
        keep_call(acting.who_acts(), house, called)
    now.kept[k] = kept


def photo_of(one: JudgedShot, standard: Standard) -> Photo | None:
    """A shot's photo with its pixels; None where it was refused."""
    return grader().whole(one.seen, one.shot.data, standard).photo


def mean_place(graded: GradedPhoto, standard: Standard) -> float | None:
    """The mean place of a plate's fries on the scale; None where none has a colour."""
    fries = () if graded.plate is None else graded.plate.fries
    return plate_figures(fries, standard, graded.verdict).place_mean if fries else None


def finish(now: Batch, verdict: Verdict | None, told: PassSetting, standard: Standard) -> bool:
    """Keep the decision on the batch; whether it was kept."""
    if not now.kept:
        return False
    with closing(open_house()) as house:
        batches = {kept.batch_id for kept in now.kept.values()}
        if len(batches) != 1:  # a photo that was kept before stays in its own batch
            return False
        keep_decision(
            acting.who_acts(),
            house,
            list(now.kept.values()),
            verdict,
            standard=standard,
            method_version=METHOD_VERSION,
            by=told.by,
        )
    return True
