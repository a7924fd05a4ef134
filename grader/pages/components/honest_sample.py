"""Sample times, plates and their cost on the page."""

from contextlib import closing
from dataclasses import replace
from datetime import datetime, time

import numpy as np
import streamlit as st

from grader.acts.house import change_house_values
from grader.acts.plates import draw_for_shift
from grader.decision.planning import ColourCase, Needed, plates_needed
from grader.decision.terms import HOUSE_DEFAULT, Terms
from grader.errors import GraderError
from grader.language import tr, trn
from grader.pages.components import acting, choosing
from grader.pages.components.device import paired_place, zone_of_visitor
from grader.pages.components.plain_words import literal
from grader.records.database import Setting, open_house
from grader.records.database.house import records_there
from grader.records.database.plate_checks import mass_sampled
from grader.records.database.sample_times import ShiftTimes, times_of
from grader.records.database.setting import zone_called
from grader.records.house_values import HouseValues, house_values
from grader.roles.model import Duty
from grader.sampling.times import shift_on
from grader.sampling.waste import waste_of
from grader.standard.model import ColourScale

_FRIES, _WITHIN_STEPS, _SHARED_STEPS = 36, 0.4, 0.15
"""A plate as the command `sampling colour` takes it where nobody says otherwise."""


def show_times() -> None:
    """Draw a shift's sample times, or tell those that were drawn; they are never drawn twice."""
    st.subheader(tr("When to take a plate"), anchor=False)
    st.markdown(
        tr(
            "The times are drawn, so that nobody chooses which plate is looked at. Take the plate that is at the pass "
            "at that time. Every photo is kept; another is asked for only where one can't be used."
        )
    )
    values = _here()
    with st.form("sample_times", border=False):
        kitchen = st.text_input(tr("Kitchen"), value=values.kitchen, key="sample_kitchen").strip()
        zone = st.text_input(tr("Its time zone"), value=values.zone or zone_of_visitor(), key="sample_zone").strip()
        shift = st.text_input(tr("Shift"), value=values.shift, key="sample_shift").strip()
        start = st.time_input(tr("Shift begins"), value=_clock(values.shift_from), key="sample_from")
        end = st.time_input(tr("Shift ends"), value=_clock(values.shift_until), key="sample_until")
        samples = st.number_input(tr("Plates of the shift"), 1, 48, values.samples_a_shift, key="sample_count")
        asked = st.form_submit_button(tr("Draw the times"), type="primary")
    setting = Setting(kitchen=kitchen, zone=zone, shift=shift)
    if asked:
        now = datetime.now(zone_called(zone))
        if acting.may(Duty.HOUSE):
            change_house_values(
                acting.who_acts(),
                lambda kept: replace(
                    kept,
                    kitchen=kitchen,
                    zone=zone,
                    shift=shift,
                    shift_from=f"{start:%H:%M}",
                    shift_until=f"{end:%H:%M}",
                    samples_a_shift=int(samples),
                ),
            )
        begins, ends = shift_on(now, start, end)
        with closing(open_house()) as house:
            drawn = draw_for_shift(
                acting.who_acts(),
                house,
                setting,
                start=begins,
                end=ends,
                samples=int(samples),
                rng=np.random.default_rng(),
            )
        _tell_times(drawn, now)
    elif kitchen and shift and records_there():
        _tell_drawn_before(setting, zone)


def _tell_drawn_before(setting: Setting, zone: str) -> None:
    try:
        now = datetime.now(zone_called(zone))
        with closing(open_house()) as house:
            drawn = times_of(house, setting, now)
    except GraderError:  # a kitchen that the records don't know yet has no times
        return
    if drawn is not None:
        _tell_times(drawn, now)


def _tell_times(drawn: ShiftTimes, now: datetime) -> None:
    times = [one.astimezone(now.tzinfo) for one in drawn.times]
    lines = [f"- **{one:%H:%M}**" + (f" · {tr('past')}" if one <= now else "") for one in times]
    st.markdown("\n".join(lines))
    st.caption(tr("Drawn once for this day and shift; asking again gives the same times."))


def show_plates_needed() -> None:
    """How many plates are enough for the risk that the house wants to take."""
    st.subheader(tr("How many plates are enough"), anchor=False)
    standard = choosing.standard(key="sample_standard", usual=house_values().standard)
    if standard is None:
        return
    wanted = st.slider(tr("How often the answer is to be right, %"), 50, 99, 90, key="sample_wanted") / 100
    off = st.slider(tr("A wrong lot lies beyond the target by, steps"), 0.1, 1.5, 0.5, 0.1, key="sample_off")
    case = _case(standard.scale)
    middle = (case.target_from + case.target_to) / 2
    right = _needed(case, middle, wanted, passes=True)
    wrong = _needed(case, case.target_to + off, wanted, passes=False)
    st.markdown(
        f"- {literal(tr('A lot in the middle of the target passes:'))} **{literal(_plates(right))}**\n"
        f"- {literal(tr('A lot that far too dark fails:'))} **{literal(_plates(wrong))}**"
    )
    st.caption(
        tr(
            "By the house's usual scatter of plates and fries, {fries} fries a plate. `python -m grader sampling` asks "
            "with your own. Plates are counted, never fries: those of one plate are alike.",
            fries=_FRIES,
        )
    )


def _case(scale: ColourScale) -> ColourCase:
    return ColourCase(
        target_from=scale.target_from,
        target_to=scale.target_to,
        between=HOUSE_DEFAULT.colour_steps,
        within=_WITHIN_STEPS,
        shared=_SHARED_STEPS,
        fries=_FRIES,
        terms=Terms(),
    )


def _needed(case: ColourCase, place: float, wanted: float, *, passes: bool) -> Needed:
    def chance(plates: int) -> float:
        told = case.chances(plates, np.array([place]))
        return float((told.passes if passes else told.fails)[0])

    return plates_needed(chance, wanted, at_least=case.least_plates)


def _plates(needed: Needed) -> str:
    if needed.plates is None:
        return tr("more plates than anybody photographs")
    return trn("{n} plate", "{n} plates", needed.plates)


def show_waste() -> None:
    """What a week's samples weigh and cost."""
    st.subheader(tr("What the week's samples waste"), anchor=False)
    st.markdown(tr("Sample plates never go back to service: they cooled, and hands and phones were near them."))
    values = _here()
    with st.expander(tr("What a plate weighs and costs")):
        plate_g = st.number_input(
            tr("A sample plate, g"), min_value=1.0, value=values.plate_g, step=10.0, key="waste_plate"
        )
        price = st.number_input(
            tr("A kilogram of finished fries costs"),
            min_value=0.0,
            value=values.price_a_kg,
            step=0.1,
            key="waste_price",
        )
        currency = st.text_input(tr("Currency"), value=values.currency, key="waste_currency", max_chars=8)
        if st.button(tr("Keep these values"), key="waste_keep"):
            change_house_values(
                acting.who_acts(),
                lambda kept: replace(kept, plate_g=plate_g, price_a_kg=price, currency=currency.strip()),
            )
            st.caption(tr("Kept."))
    if not values.kitchen or not records_there():
        st.caption(tr("Nothing was kept yet."))
        return
    with closing(open_house()) as house:
        found = mass_sampled(house, values.kitchen, until=datetime.now().astimezone())
    told = waste_of(found.plates, weighed=found.weighed, weighed_g=found.weighed_g, usual_g=plate_g, price_a_kg=price)
    kitchen = literal(values.kitchen)
    st.markdown(f"**{kitchen}**: " + trn("{n} plate in seven days", "{n} plates in seven days", told.plates))
    if told.kg is None:
        st.caption(tr("Weigh a plate at the pass, or say above what one weighs."))
        return
    money = "" if told.money is None else f" · {told.money:.2f} {literal(currency)}".rstrip()
    st.markdown(f"**{told.kg:.1f} kg{money}**")
    if told.guessed:
        st.caption(
            trn(
                "{n} of them was not weighed and counts with the usual mass.",
                "{n} of them were not weighed and count with the usual mass.",
                told.guessed,
            )
        )


def _here() -> HouseValues:
    """The house's values; on a paired phone for the kitchen and shift that it is paired to."""
    values, paired = house_values(), paired_place()
    if paired is None:
        return values
    return replace(values, kitchen=paired.kitchen, zone=paired.zone, shift=paired.shift)


def _clock(text: str) -> time:
    return time.fromisoformat(text.zfill(5))
