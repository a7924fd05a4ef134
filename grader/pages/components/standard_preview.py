"""What an edited standard makes of a sample plate: graded once, judged anew at each change."""

from dataclasses import dataclass

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from grader.decision import judge_plate
from grader.grading import laid_by
from grader.language import retell, said, tr, trn
from grader.pages.components import colour_chart, verdicts
from grader.pages.components.grading import grade_one
from grader.pages.components.manners import heard
from grader.pages.components.plain_words import literal
from grader.pages.components.standard_draft import Checked
from grader.pages.components.standard_form import faulty_sections
from grader.places import sample_folder
from grader.records.naming import PHOTO_SUFFIXES
from grader.standard import CAUTIONS, at_stage, stage_names
from grader.standard.model import FINISHED, StageName, Standard

_MEASURED_OTHERWISE = said(
    "The plate was measured by the standard as it was: cut width, plate height and surface tell how to measure, and "
    "one of them was changed."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """Where on the page it stands: the verdict in between stays in sight while the fields below are edited."""

    above: DeltaGenerator
    verdict: DeltaGenerator
    below: DeltaGenerator


def make_places() -> Places:
    """Keep room; filled after the fields, so that those show while a plate is graded."""
    return Places(above=st.container(), verdict=st.container(key="preview-band"), below=st.container())


def show_preview(places: Places, token: str, base: Standard, checked: Checked) -> None:
    """The verdict on the sample plate by the standard as edited; where that has faults, by it as it last had none."""
    key = f"preview_{token}"
    if checked.standard is not None:
        st.session_state[f"{key}_last"] = checked.standard
    judged: Standard = st.session_state.get(f"{key}_last", base)
    measured: Standard = st.session_state.get(f"{key}_measured", base)
    with places.above:
        _tell_faults(checked)
        name, data = _plate(key)
        stage = _stage(key, judged)
        graded = grade_one(name, data, _staged(measured, stage), what=tr("The plate of the preview"))
    if graded.plate is None:
        with places.below:
            for reason in graded.reasons:
                st.warning(f"{literal(heard(reason.message))} {literal(heard(reason.hint))}")
        return
    standard = at_stage(judged, stage)
    verdict = judge_plate(graded.plate.fries, standard)
    with places.verdict:
        verdicts.show_line(verdict)
    with places.below:
        if CAUTIONS[stage]:
            st.caption(literal(heard(CAUTIONS[stage])))
        if laid_by(standard) != laid_by(_staged(measured, stage)):
            st.caption(tr(_MEASURED_OTHERWISE))
            st.button(
                tr("Measure it again"), key=f"{key}_again", on_click=_measure_by, args=(f"{key}_measured", judged)
            )
        with st.expander(tr("Limit by limit, and the colours of this plate")):
            verdicts.show_limits(verdict, arithmetic=False)
            colour_chart.show_colours(graded.plate.fries, standard)


def _tell_faults(checked: Checked) -> None:
    if checked.count:
        *sections, last = faulty_sections(checked) or [tr("Keep it")]
        where = tr("{a} and {b}", a=", ".join(sections), b=last) if sections else last
        st.error(
            trn(
                "One fault is to be corrected, told beneath the fields of: {where}. The verdict is by what last had "
                "none.",
                "{n} faults are to be corrected, told beneath the fields of: {where}. The verdict is by what last had "
                "none.",
                checked.count,
                where=where,
            )
        )


def _measure_by(key: str, standard: Standard) -> None:
    st.session_state[key] = standard


def _staged(standard: Standard, stage: StageName) -> Standard:
    """The standard at a stage, or as for finished fries where it lacks that."""
    return at_stage(standard, stage if stage in stage_names(standard) else FINISHED)


def _stage(key: str, standard: Standard) -> StageName:
    names = stage_names(standard)
    if len(names) == 1:
        return FINISHED
    chosen = st.segmented_control(
        tr("Judged as"), names, default=FINISHED, format_func=retell, key=f"{key}_stage_{len(names)}"
    )
    return chosen or FINISHED


def _plate(key: str) -> tuple[str, bytes]:
    """The photo that the preview judges: one of the house's own, or a sample."""
    samples = {path.stem: path for path in sorted(sample_folder().glob("b*/*plate?.jpg"))}
    with st.expander(tr("The plate of the preview")):
        own = st.file_uploader(
            tr("A photo of your own, with the card"),
            type=[suffix.removeprefix(".") for suffix in sorted(PHOTO_SUFFIXES)],
            key=f"{key}_photo",
        )
        chosen = st.selectbox(
            tr("Or a sample plate (rendered, of an invented house)"), list(samples), key=f"{key}_sample"
        )
        photo = samples[chosen]
        st.image(own.getvalue() if own else photo.read_bytes(), alt=tr("The plate that the preview judges"), width=260)
    return (own.name, own.getvalue()) if own else (photo.name, photo.read_bytes())
