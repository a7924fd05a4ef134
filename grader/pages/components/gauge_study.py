"""A study of the method on the page: planned, photographed in the drawn order, told.

All that is known of it lies in its folder, so that it goes on after a restart, and on another phone.
"""

from collections.abc import Sequence
from datetime import datetime

import numpy as np
import pandas as pd
import streamlit as st

from grader.acts.method import add_reading, begin_study
from grader.consistency.gauge.anova import StudyUnfinishedError
from grader.consistency.gauge.model import Factor
from grader.consistency.gauge.plan import USUAL_PLATES, USUAL_REPEATS, Keeps, StudyPhoto, StudySize, plan_study
from grader.consistency.gauge.study import StudyResult
from grader.consistency.gauge.words import component_rows, headline, plan_lines, pooled_words, verdict_lines
from grader.consistency.quantities import QUANTITIES, QuantityKey
from grader.errors import GraderError
from grader.language import Lengths, retell, said, tr
from grader.language.units import in_lengths
from grader.pages.components import acting, choosing, grading
from grader.pages.components.manners import heard, session_lengths
from grader.pages.components.plain_words import literal, tell
from grader.records.gauge_results import Asked, results, varied_in
from grader.records.gauge_studies import (
    KeptStudy,
    line_of,
    named_folder,
    read_study,
    study_names,
)
from grader.records.house import today
from grader.records.naming import PHOTO_SUFFIXES

NEW = ""
_KEEPS: dict[Keeps, str] = {"fries": said("Fries"), "pieces": said("Painted bars or printed strips")}
_WHY = said(
    "The same plates, photographed by several people, with several phones, in several lights: what readings then "
    "differ by is the method's own doing. Plan it, photograph in the drawn order, and read how far to trust a number."
)


def show() -> None:
    """A new study, or one that was begun."""
    st.subheader(tr("Study of the method"), anchor=False)
    st.caption(tr(_WHY))
    names = study_names()
    begun = st.session_state.pop("gauge_begun", None)
    if begun is not None:
        st.session_state["gauge_study"] = begun
    chosen = st.selectbox(
        tr("Study"), [*names, NEW], format_func=lambda name: name or tr("A new study"), key="gauge_study"
    )
    if not chosen:
        _plan_one()
        return
    study = read_study(named_folder(chosen))
    _say_what_was_read()
    _take_next(chosen, study)
    _show_results(study)
    _show_order(study)


def _plan_one() -> None:
    """The form of a new study; once drawn, the page goes on with it."""
    st.markdown(f"**{tr('Plan a study')}**")
    name = st.text_input(tr("Name of the study"), max_chars=40, key="gauge_name")
    people = st.text_input(tr("Who photographs (initials, with commas)"), placeholder="AB, CD, EF", key="gauge_people")
    phones = st.text_input(tr("Phones, if several"), placeholder=tr("kitchen phone, my phone"), key="gauge_phones")
    lights = st.text_input(tr("Lights, if several"), placeholder=tr("pass, window"), key="gauge_lights")
    left, right = st.columns(2)
    plates = left.number_input(tr("Plates"), 2, 50, value=USUAL_PLATES, key="gauge_plates")
    repeats = right.number_input(tr("Photos of each, alike"), 1, 10, value=USUAL_REPEATS, key="gauge_repeats")
    keeps = st.radio(tr("On the plates lie"), list(_KEEPS), format_func=lambda one: tr(_KEEPS[one]), key="gauge_keeps")
    own = st.checkbox(tr("Each has plates of their own, all of one batch"), key="gauge_own")
    standard = choosing.standard()
    if standard is None or not st.button(tr("Draw the order"), type="primary", key="gauge_draw"):
        return
    size = StudySize(
        people=_listed(people) or [""],
        phones=_listed(phones) or [""],
        lights=_listed(lights) or [""],
        plates=int(plates),
        repeats=int(repeats),
        layout="nested" if own else "crossed",
        keeps=keeps,
    )
    folder = named_folder(name.strip())
    begin_study(acting.who_acts(), folder, plan_study(size, rng=np.random.default_rng()), standard=standard, on=today())
    st.session_state["gauge_begun"] = folder.name
    st.rerun()


def _listed(words: str) -> list[str]:
    return [word.strip() for word in words.split(",") if word.strip()]


def _say_what_was_read() -> None:
    """What became of the photo that was handed in just before the page was drawn anew."""
    said = st.session_state.pop("gauge_said", None)
    if said is not None:
        st.success(literal(said))


def _take_next(name: str, study: KeptStudy) -> None:
    """The photo that is due, or one that is to be taken again."""
    total = len(study.plan.photos)
    st.progress(1 - len(study.missing) / total, text=_missing_words(study.missing, total))
    with st.expander(tr("What to mind")):
        st.markdown("\n".join(f"- {literal(heard(line))}" for line in plan_lines(study.plan)))
    photos = {photo.number: photo for photo in study.plan.photos}
    due = study.missing[0].number if study.missing else None
    turn = len(study.lines)  # a widget of its own for each reading: none is handed in twice
    number = st.selectbox(
        tr("Photo"),
        list(photos),
        index=None if due is None else list(photos).index(due),
        format_func=lambda one: _with_mark(photos[one], study),
        placeholder=tr("All are read; choose one to take again"),
        key=f"gauge_number_{name}_{turn}",
    )
    if number is None:
        return
    file = st.file_uploader(
        _photo_words(photos[number]),
        type=[suffix.removeprefix(".") for suffix in sorted(PHOTO_SUFFIXES)],
        key=f"gauge_photo_{name}_{turn}_{number}",
        help=tr("Take plate and card up and lay them anew before each photo. Send the phone's own file."),
    )
    if file is not None:
        _read(study, number, file.name, file.getvalue())


def _with_mark(photo: StudyPhoto, study: KeptStudy) -> str:
    words = _photo_words(photo)
    return tr("{photo} (read)", photo=words) if photo.number in study.newest else words


def _photo_words(photo: StudyPhoto) -> str:
    """What is to be done for one photo."""
    return tr(
        "Photo {n}: plate {plate}, {condition}", n=photo.number, plate=photo.plate, condition=photo.condition.words
    )


def _missing_words(missing: Sequence[StudyPhoto], of: int) -> str:
    """What is to be done next, and how much is left."""
    if not missing:
        return tr("All {of} photos are read.", of=of)
    return tr("{photo} comes next. {n} of {of} are read.", photo=_photo_words(missing[0]), n=of - len(missing), of=of)


def _read(study: KeptStudy, number: int, name: str, data: bytes) -> None:
    graded = grading.grade_one(name, data, study.standard, what=tr("Photo {number}", number=number))
    try:
        line = line_of(study, number, graded, at=datetime.now().astimezone())
        add_reading(acting.who_acts(), study, line)
    except GraderError as error:
        tell(error)
        return
    told = ", ".join(f"{_title(key)} {heard(QUANTITIES[key].amount(value))}" for key, value in line.means.items())
    st.session_state["gauge_said"] = tr("Photo {number} is read: {told}.", number=number, told=told)
    st.rerun()


def _show_results(study: KeptStudy) -> None:
    st.markdown(f"#### {tr('What it says so far') if study.missing else tr('What it says')}")
    keys: list[QuantityKey] = list(QUANTITIES)
    quantity = st.pills(tr("Of"), keys, format_func=_title, default="place", key="gauge_quantity")
    key = quantity or "place"
    result = results(study, Asked(quantities=[key], tolerance=None))[key]
    if isinstance(result, StudyUnfinishedError):
        st.info(literal(f"{tr('Nothing can be told yet.')} {heard(result.message)} {heard(result.hint)}"))
    else:
        _show_result(study, result)


def _title(key: QuantityKey) -> str:
    return retell(QUANTITIES[key].title)


def _show_result(study: KeptStudy, result: StudyResult) -> None:
    varied = varied_in(study)
    st.markdown(f"**{literal(heard(headline(result, varied=varied)))}**")
    st.markdown("  \n".join(literal(heard(line)) for line in verdict_lines(result)))
    _show_parts(result, varied)
    with st.expander(tr("The analysis of variance, for QA")):
        table = [
            {
                tr("Source"): retell(line.name),
                tr("Squares"): line.squares,
                tr("Degrees of freedom"): line.freedom,
                "F": line.f,
                tr("By chance"): line.probability,
            }
            for line in result.anova.table
        ]
        st.dataframe(pd.DataFrame(table).round(4), hide_index=True)
        if result.anova.pooled:
            st.caption(literal(heard(pooled_words(result))))


def _show_parts(result: StudyResult, varied: tuple[Factor, ...]) -> None:
    """A table that wraps: on a phone all of its columns must be in sight."""
    unit, digits = result.quantity.unit, 3
    if unit == Lengths.MILLIMETRES and session_lengths() is Lengths.INCHES:
        unit, digits = str(Lengths.INCHES), 4

    def told(value: float) -> str:
        return f"{in_lengths(value, Lengths.INCHES) if unit == Lengths.INCHES else value:.{digits}f}"

    rows = [
        {
            tr("From"): retell(words.strip()),
            tr("Scatter") + (f" ({retell(unit)})" if unit else ""): told(part.sd),
            "95 %": retell(f"{told(part.low**0.5)} to {told(part.high**0.5)}"),
        }
        for words, part in component_rows(result, varied)
    ]
    st.table(pd.DataFrame(rows).set_index(tr("From")))
    st.caption(tr("Standard deviations of single readings, and between what the true ones lie."))


def _show_order(study: KeptStudy) -> None:
    with st.expander(tr("The drawn order, and what was read")):
        read = study.means
        rows = [
            {
                tr("Photo"): photo.number,
                tr("Plate"): photo.plate,
                tr("Person"): photo.condition.person,
                tr("Phone"): photo.condition.phone,
                tr("Light"): photo.condition.light,
                tr("Place"): read.get(photo.number, {}).get("place"),
                tr("Read"): tr("yes") if photo.number in read else "",
            }
            for photo in study.plan.photos
        ]
        st.dataframe(pd.DataFrame(rows).round(2), hide_index=True)
        st.caption(tr("Kept are these numbers and each photo's hash, not the photos."))
