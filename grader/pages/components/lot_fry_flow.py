"""The lot test fry on the page, step by step: planned, printed, fried and photographed, answered."""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar

import streamlit as st
from streamlit.runtime.uploaded_file_manager import UploadedFile

from grader.drawing.line_papers import lot_fry_paper
from grader.drawing.paper import paper_pdf
from grader.errors import GraderError
from grader.language import said, tr
from grader.line.fry_numbers import TOO_DARK_FROM, Chips, numbers_of_lot, read_chips
from grader.line.lot_answer import Can, HouseTime, LotAnswer, answer_of
from grader.line.lot_fry import TUBERS_AT_LEAST, Lot, LotTest, SugarEnds, TestStrip, compare_lots, plan_lot_fry
from grader.line.lot_fry_table import Planned, plan_text, scored_text
from grader.line.trial import Noise
from grader.line.trial_choice import choose_curve
from grader.line.trial_table import read_plates
from grader.pages.components import choosing, grading
from grader.pages.components.later import later
from grader.pages.components.line_words import FIELD_PX, ask_figure
from grader.pages.components.manners import heard
from grader.pages.components.plain_words import literal, tell
from grader.records.lot_photos import strips_of_photo
from grader.records.naming import PHOTO_SUFFIXES, as_counted
from grader.standard.model import Standard

_SIGNS = {Can.NOTHING_AGAINST: st.success, Can.DOUBTFUL: st.warning, Can.NO: st.error}
_LOTS = {Lot.NEW: said("new lot"), Lot.KEPT: said("lot kept back")}
Strip = tuple[Lot, int, int, int]
"""Lot, carton, tuber and basket of a planned strip."""
Read = TypeVar("Read")


def show_flow() -> None:
    """The steps, each with what it needs of the one before."""
    st.markdown(
        tr(
            "Strips of a new lot are fried in turn with strips of a lot that was right, in the same oil: what oil and "
            "timer do is the same for both, and what is left is the potato's."
        )
    )
    st.markdown(f"**1. {tr('Plan it, and print the sheet')}**")
    planned = _planned()
    if planned is None:
        return
    _show_downloads(planned)
    st.markdown(f"**2. {tr('Fry by the sheet, photograph each basket')}**")
    st.caption(
        tr(
            "Strips apart beside the card, in the order of the sheet, row by row, stem ends towards the card's upper "
            "side. Photos are taken basket by basket, by their names."
        )
    )
    standard = choosing.standard()
    baskets = list(dict.fromkeys(one[3] for one in planned))
    files = st.file_uploader(
        tr("Photos of the {baskets} baskets", baskets=len(baskets)),
        type=[suffix.removeprefix(".") for suffix in sorted(PHOTO_SUFFIXES)],
        accept_multiple_files=True,
        key="lot_photos",
    )
    chips = _chips()
    if standard is None:
        return
    house = _house_time(standard)
    if not files:
        return
    photos = list({file.getvalue(): file for file in reversed(files)}.values())
    if len(photos) < len(files):
        st.caption(tr("A photo that was given twice counts once."))
    if len(photos) > len(baskets):
        st.error(tr("{there} photos of {wanted} baskets: give one of each.", there=len(photos), wanted=len(baskets)))
        return
    in_order = sorted(photos, key=lambda one: as_counted(one.name))
    strips = _scored(planned, in_order, standard=standard, chips=chips)
    if len(photos) < len(baskets) or strips is None:
        st.info(tr("{there} of {wanted} baskets so far.", there=len(photos), wanted=len(baskets)))
        return
    st.markdown(f"**3. {tr('Can this lot make the house fry?')}**")
    told = compare_lots(strips)
    _show_answer(answer_of(strips, told, standard, house), told, house)
    _show_numbers(strips)
    _show_table(strips)


def _planned() -> tuple[Strip, ...] | None:
    with st.container(horizontal=True):
        numbers = [
            st.number_input(tr(words), low, high, value, key=f"lot_fry_{key}", width=FIELD_PX)
            for key, words, low, high, value in (
                ("tubers", said("Tubers of each lot"), TUBERS_AT_LEAST, 60, 20),
                ("cartons", said("Cartons of each lot"), 1, 20, 4),
                ("baskets", said("Baskets"), 1, 20, 5),
                ("strips", said("Strips a tuber"), 1, 10, 2),
            )
        ]
    tubers, cartons, baskets, strips = (int(number) for number in numbers)
    try:
        return plan_lot_fry(tubers=tubers, cartons=cartons, baskets=baskets, strips=strips, seed=1)
    except GraderError as error:
        tell(error)
        return None


def _show_downloads(planned: Sequence[Strip]) -> None:
    with st.container(horizontal=True):
        st.download_button(
            tr("Sheet to print"), later(partial(paper_pdf, lot_fry_paper(planned))), file_name="lot-test-fry.pdf",
            mime="application/pdf", key="lot_pdf", on_click="ignore",
        )  # fmt: skip
        st.download_button(
            tr("The table as CSV"), plan_text(planned).encode("utf-8-sig"), file_name="lot-test-fry.csv",
            mime="text/csv", key="lot_csv", on_click="ignore",
        )  # fmt: skip


def _chips() -> Chips | None:
    with st.expander(tr("Your own chips of the published numbering (000 to 4), if you have them")):
        file = st.file_uploader(tr("A table: number, L, a, b"), type=["csv"], key="lot_chips")
    return None if file is None else _read(file.getvalue(), read_chips)


def _house_time(standard: Standard) -> HouseTime | None:
    """A trial's table and what the house fries a good lot for; None where not all of it is told."""
    with st.expander(tr("A trial's table, for this lot's time today")):
        file = st.file_uploader(tr("The table of your trial, a CSV file"), type=["csv"], key="lot_trial")
        with st.container(horizontal=True):
            seconds = _figure(said("A good lot is finished for"), "s", "lot_seconds", (10.0, 1800.0))
            celsius = _figure(said("Temperature of the oil"), "°C", "lot_celsius", (100.0, 220.0))
    if file is None or seconds is None or celsius is None:
        return None
    fit = choose_curve(_read(file.getvalue(), read_plates), Noise(), steps=len(standard.scale.steps)).fit
    return HouseTime(fit=fit, seconds=seconds, celsius=celsius)


def _figure(title: str, unit: str, key: str, can_be: tuple[float, float]) -> float | None:
    with st.container(width=FIELD_PX):
        return ask_figure(title, unit, key=key, can_be=can_be)


def _read(data: bytes, reader: Callable[[Path], Read]) -> Read:
    """What a reader of tables makes of an uploaded one."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "table.csv"
        path.write_bytes(data)
        return reader(path)


def _scored(
    planned: Sequence[Strip], photos: Sequence[UploadedFile], *, standard: Standard, chips: Chips | None
) -> tuple[TestStrip, ...] | None:
    """The strips of all baskets that have a photo; None where one of them can't be taken."""
    baskets = list(dict.fromkeys(one[3] for one in planned))
    strips: list[TestStrip] = []
    fine = True
    for basket, photo in zip(baskets, photos, strict=False):
        here = [
            Planned(basket=str(basket), lot=lot, carton=str(carton), tuber=str(tuber))
            for lot, carton, tuber, at in planned
            if at == basket
        ]
        name, data = photo.name, photo.getvalue()
        what = tr("Basket {number}", number=basket)
        graded = grading.grade_one(name, data, standard, what=what)
        try:
            scored = strips_of_photo(here, graded, standard=standard, chips=chips)
        except GraderError as error:
            st.error(f"{what} ({literal(name)}): {literal(heard(error.message))} {literal(heard(error.hint))}")
            fine = False
            continue
        strips += scored
        st.caption(tr("{basket}: {there} of {wanted} strips scored.", basket=what, there=len(scored), wanted=len(here)))
    return tuple(strips) if fine else None


def _show_answer(answer: LotAnswer, told: LotTest, house: HouseTime | None) -> None:
    _SIGNS[answer.can](f"**{tr(answer.can).capitalize()}.** " + " ".join(heard(one) for one in answer.reasons))
    st.metric(
        tr("New lot darker by, steps"),
        f"{told.difference:+.2f}",
        f"{told.low:+.2f} … {told.high:+.2f} (95 %)",
        delta_color="off",
        delta_arrow="off",
    )
    if answer.today_s is not None and house is not None:
        st.metric(
            tr("Today's time for this lot, where a good one takes {seconds} s", seconds=f"{house.seconds:g}"),
            f"{answer.today_s.value:.0f} s",
            f"{answer.today_low_s:.0f}–{answer.today_high_s:.0f} s (95 %)",
            delta_color="off",
            delta_arrow="off",
        )
        st.caption(tr("A starting point: fry one plate at it, and look."))
    for lot, ends in ((Lot.NEW, told.new_ends), (Lot.KEPT, told.kept_ends)):
        if ends is not None:
            st.markdown(_ends(lot, ends))
    st.caption(
        tr(
            "Standard deviations, steps: {carton} between cartons, {tuber} between tubers of one, {strip} between "
            "strips of a tuber.",
            carton=_sd(told.carton_sd),
            tuber=_sd(told.tuber_sd),
            strip=_sd(told.strip_sd),
        )
    )


def _sd(steps: float | None) -> str:
    return "–" if steps is None else f"{steps:.2f}"


def _ends(lot: Lot, ends: SugarEnds) -> str:
    return tr(
        "Sugar ends, {lot}: {found} of {tubers} tubers, so {low} to {high} of the lot (exact, 95 %).",
        lot=tr(_LOTS[lot]),
        found=ends.found,
        tubers=ends.tubers,
        low=f"{ends.low:.0%}",
        high=f"{ends.high:.0%}",
    )


def _show_numbers(strips: Sequence[TestStrip]) -> None:
    told = {lot: numbers for lot in Lot if (numbers := numbers_of_lot(strips, lot)) is not None}
    if not told:
        return
    st.markdown(f"**{tr('By the published numbering, as your own chips define it')}**")
    for lot, one in told.items():
        st.markdown(
            tr(
                "- {lot}: body {body}, stem end {stem}; {dark} of {tubers} tubers have a stem end of {limit} or "
                "darker.",
                lot=tr(_LOTS[lot]),
                body=f"{one.body:.1f}",
                stem=f"{one.stem:.1f}",
                dark=one.dark_stems,
                tubers=one.tubers,
                limit=f"{TOO_DARK_FROM:.1f}",
            )
        )
    st.caption(tr("Numbers, and 3.0 as unacceptable: Valley Potato Grower, July/August 2020, p. 14."))


def _show_table(strips: Sequence[TestStrip]) -> None:
    st.download_button(
        tr("The scored table as CSV"), scored_text(strips).encode("utf-8-sig"), file_name="scored.csv",
        mime="text/csv", key="lot_scored", on_click="ignore",
    )  # fmt: skip
