"""A study of the method on the page: planned, photographed in the drawn order, told.

All that is known of it lies in its folder, so that it goes on after a restart, and on another phone.
"""

from datetime import datetime

import numpy as np
import pandas as pd
import streamlit as st

from grader.consistency.gauge.anova import StudyUnfinishedError
from grader.consistency.gauge.model import Factor
from grader.consistency.gauge.plan import USUAL_PLATES, USUAL_REPEATS, Keeps, StudyPhoto, StudySize, plan_study
from grader.consistency.gauge.study import StudyResult
from grader.consistency.gauge.words import (
    component_rows,
    headline,
    missing_words,
    photo_words,
    plan_lines,
    pooled_words,
    verdict_lines,
)
from grader.consistency.quantities import QUANTITIES, QuantityKey
from grader.errors import GraderError
from grader.pages.components import choosing, grading
from grader.pages.components.plain_words import literal, tell
from grader.records.gauge_results import Asked, results, varied_in
from grader.records.gauge_studies import (
    KeptStudy,
    add_reading,
    begin_study,
    line_of,
    named_folder,
    read_study,
    study_names,
)
from grader.records.house import today
from grader.records.naming import PHOTO_SUFFIXES

NEW = ""
_KEEPS: dict[Keeps, str] = {"fries": "Fries", "pieces": "Painted bars or printed strips"}
_WHY = (
    "The same plates, photographed by several people, with several phones, in several lights: what readings then "
    "differ by is the method's own doing. Plan it, photograph in the drawn order, and read how far to trust a number."
)


def show() -> None:
    """A new study, or one that was begun."""
    st.subheader("Study of the method", anchor=False)
    st.caption(_WHY)
    names = study_names()
    begun = st.session_state.pop("gauge_begun", None)
    if begun is not None:
        st.session_state["gauge_study"] = begun
    chosen = st.selectbox("Study", [*names, NEW], format_func=lambda name: name or "A new study", key="gauge_study")
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
    st.markdown("**Plan a study**")
    name = st.text_input("Name of the study", max_chars=40, key="gauge_name")
    people = st.text_input("Who photographs (initials, with commas)", placeholder="AB, CD, EF", key="gauge_people")
    phones = st.text_input("Phones, if several", placeholder="kitchen phone, my phone", key="gauge_phones")
    lights = st.text_input("Lights, if several", placeholder="pass, window", key="gauge_lights")
    left, right = st.columns(2)
    plates = left.number_input("Plates", 2, 50, value=USUAL_PLATES, key="gauge_plates")
    repeats = right.number_input("Photos of each, alike", 1, 10, value=USUAL_REPEATS, key="gauge_repeats")
    keeps = st.radio("On the plates lie", list(_KEEPS), format_func=lambda one: _KEEPS[one], key="gauge_keeps")
    own = st.checkbox("Each has plates of their own, all of one batch", key="gauge_own")
    standard = choosing.standard()
    if standard is None or not st.button("Draw the order", type="primary", key="gauge_draw"):
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
    begin_study(folder, plan_study(size, rng=np.random.default_rng()), standard=standard, on=today())
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
    st.progress(1 - len(study.missing) / total, text=missing_words(study.missing, total))
    with st.expander("What to mind"):
        st.markdown("\n".join(f"- {literal(line)}" for line in plan_lines(study.plan)))
    photos = {photo.number: photo for photo in study.plan.photos}
    due = study.missing[0].number if study.missing else None
    turn = len(study.lines)  # a widget of its own for each reading: none is handed in twice
    number = st.selectbox(
        "Photo",
        list(photos),
        index=None if due is None else list(photos).index(due),
        format_func=lambda one: _with_mark(photos[one], study),
        placeholder="All are read; choose one to take again",
        key=f"gauge_number_{name}_{turn}",
    )
    if number is None:
        return
    file = st.file_uploader(
        photo_words(photos[number]),
        type=[suffix.removeprefix(".") for suffix in sorted(PHOTO_SUFFIXES)],
        key=f"gauge_photo_{name}_{turn}_{number}",
        help="Take plate and card up and lay them anew before each photo. Send the phone's own file.",
    )
    if file is not None:
        _read(study, number, file.name, file.getvalue())


def _with_mark(photo: StudyPhoto, study: KeptStudy) -> str:
    return f"{photo_words(photo)}{' (read)' if photo.number in study.newest else ''}"


def _read(study: KeptStudy, number: int, name: str, data: bytes) -> None:
    graded = grading.grade_one(name, data, study.standard, what=f"Photo {number}")
    try:
        line = line_of(study, number, graded, at=datetime.now().astimezone())
        add_reading(study, line)
    except GraderError as error:
        tell(error)
        return
    told = ", ".join(f"{QUANTITIES[key].title} {QUANTITIES[key].amount(value)}" for key, value in line.means.items())
    st.session_state["gauge_said"] = f"Photo {number} is read: {told}."
    st.rerun()


def _show_results(study: KeptStudy) -> None:
    st.markdown(f"#### {'What it says so far' if study.missing else 'What it says'}")
    keys: list[QuantityKey] = list(QUANTITIES)
    quantity = st.pills(
        "Of", keys, format_func=lambda key: QUANTITIES[key].title, default="place", key="gauge_quantity"
    )
    key = quantity or "place"
    result = results(study, Asked(quantities=[key], tolerance=None))[key]
    if isinstance(result, StudyUnfinishedError):
        st.info(literal(f"Nothing can be told yet. {result.message} {result.hint}"))
    else:
        _show_result(study, result)


def _show_result(study: KeptStudy, result: StudyResult) -> None:
    varied = varied_in(study)
    st.markdown(f"**{literal(headline(result, varied=varied))}**")
    st.markdown("  \n".join(literal(line) for line in verdict_lines(result)))
    _show_parts(result, varied)
    with st.expander("The analysis of variance, for QA"):
        table = [
            {
                "Source": line.name,
                "Squares": line.squares,
                "Degrees of freedom": line.freedom,
                "F": line.f,
                "By chance": line.probability,
            }
            for line in result.anova.table
        ]
        st.dataframe(pd.DataFrame(table).round(4), hide_index=True)
        if result.anova.pooled:
            st.caption(literal(pooled_words(result)))


def _show_parts(result: StudyResult, varied: tuple[Factor, ...]) -> None:
    """A table that wraps: on a phone all of its columns must be in sight."""
    unit = f" ({result.quantity.unit})" if result.quantity.unit else ""
    rows = [
        {"From": words, f"Scatter{unit}": f"{part.sd:.3f}", "95 %": f"{part.low**0.5:.3f} to {part.high**0.5:.3f}"}
        for words, part in component_rows(result, varied)
    ]
    st.table(pd.DataFrame(rows).set_index("From"))
    st.caption("Standard deviations of single readings, and between what the true ones lie.")


def _show_order(study: KeptStudy) -> None:
    with st.expander("The drawn order, and what was read"):
        read = study.means
        rows = [
            {
                "Photo": photo.number,
                "Plate": photo.plate,
                "Person": photo.condition.person,
                "Phone": photo.condition.phone,
                "Light": photo.condition.light,
                "Place": read.get(photo.number, {}).get("place"),
                "Read": "yes" if photo.number in read else "",
            }
            for photo in study.plan.photos
        ]
        st.dataframe(pd.DataFrame(rows).round(2), hide_index=True)
        st.caption("Kept are these numbers and each photo's hash, not the photos.")
