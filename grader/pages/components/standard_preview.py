"""What an edited standard makes of a sample plate: graded once, judged anew at each change."""

from dataclasses import dataclass

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from grader.decision import judge_plate
from grader.decision.words import listed
from grader.grading import laid_by
from grader.pages.components import colour_chart, verdicts
from grader.pages.components.grading import grade_one
from grader.pages.components.plain_words import literal
from grader.pages.components.standard_draft import Checked
from grader.pages.components.standard_form import faulty_sections
from grader.places import sample_folder
from grader.records.naming import PHOTO_SUFFIXES
from grader.standard import CAUTIONS, at_stage, stage_names
from grader.standard.model import FINISHED, StageName, Standard

_MEASURED_OTHERWISE = (
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
        graded = grade_one(name, data, _staged(measured, stage), what="The plate of the preview")
    if graded.plate is None:
        with places.below:
            for reason in graded.reasons:
                st.warning(f"{literal(reason.message)} {literal(reason.hint)}")
        return
    standard = at_stage(judged, stage)
    verdict = judge_plate(graded.plate.fries, standard)
    with places.verdict:
        verdicts.show_line(verdict)
    with places.below:
        if CAUTIONS[stage]:
            st.caption(CAUTIONS[stage])
        if laid_by(standard) != laid_by(_staged(measured, stage)):
            st.caption(_MEASURED_OTHERWISE)
            st.button("Measure it again", key=f"{key}_again", on_click=_measure_by, args=(f"{key}_measured", judged))
        with st.expander("Limit by limit, and the colours of this plate"):
            verdicts.show_limits(verdict, arithmetic=False)
            colour_chart.show_colours(graded.plate.fries, standard)


def _tell_faults(checked: Checked) -> None:
    if checked.count:
        told = "One fault is" if checked.count == 1 else f"{checked.count} faults are"
        where = listed(faulty_sections(checked)) or "Keep it"
        st.error(f"{told} to be corrected, told beneath the fields of: {where}. The verdict is by what last had none.")


def _measure_by(key: str, standard: Standard) -> None:
    st.session_state[key] = standard


def _staged(standard: Standard, stage: StageName) -> Standard:
    """The standard at a stage, or as for finished fries where it lacks that."""
    return at_stage(standard, stage if stage in stage_names(standard) else FINISHED)


def _stage(key: str, standard: Standard) -> StageName:
    names = stage_names(standard)
    if len(names) == 1:
        return FINISHED
    chosen = st.segmented_control("Judged as", names, default=FINISHED, key=f"{key}_stage_{len(names)}")
    return chosen or FINISHED


def _plate(key: str) -> tuple[str, bytes]:
    """The photo that the preview judges: one of the house's own, or a sample."""
    samples = {path.stem: path for path in sorted(sample_folder().glob("b*/*plate?.jpg"))}
    with st.expander("The plate of the preview"):
        own = st.file_uploader(
            "A photo of your own, with the card",
            type=[suffix.removeprefix(".") for suffix in sorted(PHOTO_SUFFIXES)],
            key=f"{key}_photo",
        )
        chosen = st.selectbox("Or a sample plate (rendered, of an invented house)", list(samples), key=f"{key}_sample")
        photo = samples[chosen]
        st.image(own.getvalue() if own else photo.read_bytes(), alt="The plate that the preview judges", width=260)
    return (own.name, own.getvalue()) if own else (photo.name, photo.read_bytes())
