"""Whose plates these are, at the pass: kitchen, shift, standard, initials; told once, remembered by the house."""

from contextlib import closing
from dataclasses import dataclass, replace
from datetime import UTC, datetime

import streamlit as st

from grader.acts.house import change_house_values, remember_place
from grader.errors import GraderError
from grader.language import said, tr
from grader.pages.components import acting, choosing
from grader.pages.components.device import paired_place, zone_of_visitor
from grader.pages.components.plain_words import literal, tell
from grader.pages.components.signing import ask_name, own_name
from grader.records.database import Setting, open_house
from grader.records.database.house import records_there
from grader.records.database.setting import zone_called
from grader.records.house_values import HouseValues, house_values
from grader.records.shift_sources import kitchen_names
from grader.roles.model import Duty
from grader.standard.model import Standard

_SHIFTS = (said("breakfast"), said("lunch"), said("dinner"), said("late"))


@dataclass(frozen=True, slots=True, kw_only=True)
class PassSetting:
    """What was told; `kitchen` is empty until somebody names one, and then plates are judged but not kept."""

    kitchen: str
    zone: str
    shift: str
    by: str
    call_first: bool
    standard: Standard | None
    house: HouseValues

    def setting(self, batch: str) -> Setting:
        """For the records."""
        return Setting(kitchen=self.kitchen, zone=self.zone, shift=self.shift, batch=batch, by=self.by)

    @property
    def now(self) -> datetime:
        """By the kitchen's clock; by UTC where it has none yet."""
        try:
            return datetime.now(zone_called(self.zone) if self.zone else UTC)
        except GraderError:
            return datetime.now(UTC)


def show_setting() -> PassSetting:
    """One line that says it, and a fold in which it is changed."""
    house = house_values()
    paired = paired_place()
    if paired is not None:
        house = replace(house, kitchen=paired.kitchen, zone=paired.zone, shift=paired.shift)
    line = st.empty()
    with st.expander(tr("Kitchen, shift, standard"), expanded=False):
        kitchen, zone, shift = (house.kitchen, house.zone, house.shift) if paired is not None else _asked_place(house)
        by = ask_name(tr("Initials"), key="pass_by", usual=house.by, at_most=8)
        house = _asked_window(house)
        call_first = st.toggle(tr("Call the colour before the verdict shows"), key="pass_call_first")
        standard = choosing.standard(key="pass_standard", usual=house.standard)
    told = replace(house, kitchen=kitchen, zone=zone, shift=shift, standard=choosing.chosen_key("pass_standard"))
    told = told if own_name() else replace(told, by=by)  # a login's name is nobody else's to begin with
    _remember(house, told, paired=paired is not None)
    line.markdown(_line(told, standard))
    return PassSetting(
        kitchen=kitchen,
        zone=zone,
        shift=shift,
        by=by,
        call_first=call_first and bool(by),
        standard=standard,
        house=told,
    )


def _asked_place(house: HouseValues) -> tuple[str, str, str]:
    names = list(dict.fromkeys([*([house.kitchen] if house.kitchen else []), *known_kitchens()]))
    kitchen = st.selectbox(
        tr("Kitchen"),
        names,
        index=names.index(house.kitchen) if house.kitchen else None,
        accept_new_options=True,
        placeholder=tr("Type its name"),
        key="pass_kitchen",
    )
    zone = st.text_input(tr("Its time zone"), value=house.zone or zone_of_visitor(), key="pass_zone")
    shifts = list(dict.fromkeys([*([house.shift] if house.shift else []), *(tr(name) for name in _SHIFTS)]))
    shift = st.selectbox(tr("Shift"), shifts, index=0, accept_new_options=True, key="pass_shift")
    return (kitchen or "").strip(), zone.strip(), (shift or "").strip()


def _asked_window(house: HouseValues) -> HouseValues:
    """The house's window after the lift, where who acts may change it; told to all beside the button."""
    if not acting.may(Duty.HOUSE):
        return house
    left, right = st.columns(2)
    first = left.number_input(
        tr("Photograph from, s after the lift"), 0, 3599, round(house.lift_from_s), 5, key="pass_window_from"
    )
    last = right.number_input(tr("until, s"), 1, 3600, round(house.lift_until_s), 5, key="pass_window_until")
    told = replace(house, lift_from_s=float(first), lift_until_s=float(last))
    if told != house:
        try:
            change_house_values(
                acting.who_acts(), lambda kept: replace(kept, lift_from_s=float(first), lift_until_s=float(last))
            )
        except (GraderError, OSError) as error:
            tell(error)
            return house
    return told


def known_kitchens() -> tuple[str, ...]:
    """The kitchens in the records; none where nothing was ever kept, and nothing is made by asking."""
    if not records_there():
        return ()
    with closing(open_house()) as records:
        return kitchen_names(records)


def _remember(before: HouseValues, told: HouseValues, *, paired: bool) -> None:
    """What was told for this kitchen; a paired phone's kitchen and shift are its own and aren't the house's."""
    if paired:
        kept = house_values()
        told = replace(told, kitchen=kept.kitchen, zone=kept.zone, shift=kept.shift)
        before = kept
    if told != before and told.kitchen:
        try:
            remember_place(acting.who_acts(), told)
        except (GraderError, OSError) as error:  # what can't be remembered stops no plate from being judged
            tell(error)


def _line(told: HouseValues, standard: Standard | None) -> str:
    name = "" if standard is None else standard.name
    if not told.kitchen:
        return tr("**No kitchen named yet.** Plates are judged, and kept once you name one below.") + (
            f"  \n{literal(name)}"
        )
    place = literal(" · ".join(part for part in (told.kitchen, told.shift) if part))
    return f"**{place}**  \n{literal(name)}"
