"""A judged batch on the page: the verdict first, then what it rests on."""

import streamlit as st

from grader.card_values import card_words
from grader.designations import beside_line
from grader.grading import plates_of
from grader.language import retell, said, tr, trn
from grader.pages.components import closer, colour_chart, length_chart, mending, strip, tables, verdicts
from grader.pages.components.grading import SeenBatch, SeenPhoto
from grader.pages.components.manners import heard
from grader.pages.components.plain_words import literal
from grader.records.designations import held_beside
from grader.standard import CAUTIONS

ALONE = said("The picture's own verdict is on this plate alone; the batch's, over all plates, stands at the top.")


def show_verdict(batch: SeenBatch) -> None:
    """What came out, and which photos must be taken again."""
    verdicts.show_band(batch.verdict, batch.standing)
    if CAUTIONS[batch.standard.stage]:
        st.caption(heard(CAUTIONS[batch.standard.stage]))
    if batch.mends:
        verdicts.show_with_and_without(batch.verdict, batch.unmended_verdict, batch.mends)
    refused = [one for one in batch.photos if one.graded.refused]
    if refused:
        _show_refused(refused, some_judged=batch.verdict is not None)


def show_details(batch: SeenBatch) -> None:
    """What the verdict rests on, in the order in which a cook asks; nothing where there is no verdict."""
    if batch.verdict is None:
        return
    _show_plates(batch)
    st.subheader(tr("Limit by limit"), anchor=False)
    verdicts.show_limits(batch.verdict)
    beside = held_beside([one.graded for one in batch.photos], batch.standard)
    st.caption(literal(retell(beside_line(beside))))
    if batch.standing is not None:
        verdicts.show_claims(batch.standing)
    fries = [fry for one in batch.photos if one.graded.plate is not None for fry in one.graded.plate.fries]
    st.subheader(tr("Length"), anchor=False)
    length_chart.show_lengths(plates_of([one.graded for one in batch.photos]), batch.standard)
    st.subheader(tr("Colour"), anchor=False)
    colour_chart.show_colours(fries, batch.standard)
    colour_chart.show_plane(fries, batch.standard)
    st.subheader(tr("Every fry"), anchor=False)
    tables.show(batch)


def _show_refused(refused: list[SeenPhoto], *, some_judged: bool) -> None:
    st.subheader(trn("One photo was refused", "{n} photos were refused", len(refused)), anchor=False)
    if some_judged:
        st.caption(tr("The verdict rests on the other photos."))
    for one in refused:
        with st.container(border=True):
            st.markdown(f"**{literal(one.graded.name)}**")
            for reason in one.graded.reasons:
                st.markdown(
                    f"{literal(heard(reason.message))}  \n**{tr('What to do:')}** {literal(heard(reason.hint))}"
                )
            if one.picture is not None:
                with st.expander(tr("See the photo")):
                    st.image(one.picture, alt=tr("The refused photo {name}", name=one.graded.name), width="stretch")


def _show_plates(batch: SeenBatch) -> None:
    judged = [(one, data) for one, data in zip(batch.photos, batch.files, strict=True) if not one.graded.refused]
    tabs = st.tabs([tr("Plate {number}", number=number + 1) for number in range(len(judged))])
    for tab, (one, data) in zip(tabs, judged, strict=True):
        with tab:
            _show_plate(one, alone=len(judged) == 1)
            strip.show_strip(one, data, batch.standard)
            closer.show_fry(one, data, batch.standard)
            mending.show_mending(one, data, batch.standard)


def _show_plate(one: SeenPhoto, *, alone: bool) -> None:
    if one.picture is not None:
        st.image(one.picture, alt=_plate_alt(one), width="stretch")
    st.caption(literal(one.graded.name) + ("" if alone else f". {tr(ALONE)}"))
    if one.graded.mending is not None and not alone:  # of one plate alone it stands at the top
        verdicts.show_with_and_without(one.graded.verdict, one.graded.mending.verdict, one.graded.mending.mends)
    if one.graded.serial is not None:
        st.caption(literal(retell(card_words(one.graded.serial, one.graded.values))))
    for reason in one.graded.reasons:
        if not reason.quiet:
            st.caption(f"⚠ {literal(heard(reason.message))} {literal(heard(reason.hint))}")


def _plate_alt(one: SeenPhoto) -> str:
    plate, verdict = one.graded.plate, one.graded.verdict
    fries = 0 if plate is None else len(plate.fries)
    headline = "" if verdict is None else f" {heard(verdict.headline)}"
    told = tr("{name}: the photo with {fries} fries outlined and numbered.", name=one.graded.name, fries=fries)
    return f"{told}{headline}"
