"""Shifts, kitchens, fryers or lots compared, and how far fries keep within the house's range: of what the records hold.

Reckoned when asked for: of thousands of plates it takes a moment.
"""

from contextlib import closing

import pandas as pd
import streamlit as st

from grader.acts.reading import kept_plates
from grader.consistency.capability import Capability, Index, capability_of
from grader.consistency.comparing import Comparison, Difference, Found, compare_groups
from grader.consistency.quantities import QuantityKey
from grader.errors import GraderError
from grader.language import Lengths, said, tr, trn
from grader.language.units import in_lengths
from grader.pages.components import acting
from grader.pages.components.line_words import ask_figure
from grader.pages.components.manners import session_lengths
from grader.pages.components.plain_words import literal, tell
from grader.pages.components.shift_charts import own_kitchen_first
from grader.records.comparisons import By, asked_range, grouped, lots_words, spread
from grader.records.database import open_house
from grader.records.plate_readings import PlateReadings
from grader.standard.model import Standard

_BY: dict[By, str] = {
    "shift": said("Shift"),
    "kitchen": said("Kitchen"),
    "fryer": said("Fryer"),
    "lot": said("Lot"),
    "supplier": said("Supplier"),
}
_WHAT: dict[QuantityKey, str] = {"place": said("Place on the colour scale"), "length": said("Length")}
_MORE: dict[QuantityKey, str] = {"place": said("darker"), "length": said("longer")}
_LESS: dict[QuantityKey, str] = {"place": said("paler"), "length": said("shorter")}
_WORTH: dict[QuantityKey, float] = {"place": 0.3, "length": 3.0}
"""What is offered as worth acting on, in steps and mm (house choice, no source)."""
_ORDER = {Found.DIFFER: 0, Found.CANT_TELL: 1, Found.ALIKE: 2}


def show(standard: Standard) -> None:
    """Both, each behind a lid."""
    with st.expander(tr("Compare shifts, kitchens, fryers or lots")):
        _ask_comparison(standard)
    with st.expander(tr("Capability: how far fries keep within the range")):
        _ask_capability(standard)


def _what(key: str) -> QuantityKey:
    told: QuantityKey = st.segmented_control(
        tr("What"), list(_WHAT), format_func=lambda one: tr(_WHAT[one]), default="place", required=True, key=key
    )
    return told


def _figure(quantity: QuantityKey, title: str, *, key: str, value: float | None = None) -> float | None:
    """A figure in steps of the scale, or a length in the visitor's unit; in steps or mm."""
    unit = "mm" if quantity == "length" else said("steps")
    return ask_figure(title, unit, key=f"{key}_{quantity}", value=value, can_be=(0.0, 500.0))


def _ask_comparison(standard: Standard) -> None:
    by = st.selectbox(tr("What is compared"), list(_BY), format_func=lambda one: tr(_BY[one]), key="compare_by")
    quantity = _what("compare_what")
    worth = _figure(quantity, said("Worth acting on from"), key="compare_worth", value=_WORTH[quantity])
    within = st.checkbox(tr("Take out what lots differ by"), key="compare_within", disabled=by == "lot")
    if not st.button(tr("Compare"), key="compare_go"):
        return
    if not worth:
        st.error(tr("Say which difference you would act on, more than 0."))
        return
    within = within and by != "lot"
    found = _plates(standard, quantity)
    plates = [one for one in found if one.about.get(by) and (not within or one.about.get("lot"))]
    if len(plates) < len(found):
        st.caption(
            trn(
                "{n} plate is left out: nobody said which it is of.",
                "{n} plates are left out: nobody said which they are of.",
                len(found) - len(plates),
            )
        )
    try:
        drawn = grouped(plates, by=by, quantity=quantity, within_lots=within)
        told = compare_groups(drawn, worth_acting_on=worth, within_lots=within)
    except GraderError as error:
        tell(error)
        return
    _tell_comparison(told, quantity)
    if not within and by != "lot" and lots_words(drawn) is not None:
        st.caption(tr("Not all had the same lots: what lots differ by is in this, unless it is taken out."))
    st.caption(tr("Phone, card and light are in this too: where each had its own, the difference may be theirs."))


def _plates(standard: Standard, quantity: QuantityKey, kitchen: str = "") -> list[PlateReadings]:
    with closing(open_house()) as house:
        plates = kept_plates(acting.who_acts(), house, standard=standard, kitchen=kitchen)
    return [one for one in plates if quantity in one.means]


def _tell_comparison(told: Comparison, quantity: QuantityKey) -> None:
    rows = [
        {
            tr("Which"): one.name,
            tr("Mean"): _amount(one.mean, quantity),
            "95 %": f"{_number(one.low, quantity)}–{_number(one.high, quantity)}",
            tr("Plates"): one.plates,
            tr("Batches"): one.batches,
        }
        for one in told.groups
    ]
    st.dataframe(pd.DataFrame(rows), hide_index=True, alt=tr("Each with its mean and the interval of it"))
    apart = sorted(told.differences, key=lambda one: (_ORDER[one.found], -abs(one.value)))
    worth = _amount(told.worth_acting_on, quantity)
    st.markdown("\n".join(f"- {literal(_difference(one, quantity, worth))}" for one in apart))
    st.caption(tr("Intervals hold with 95 %, those of differences all at once."))


def _difference(one: Difference, quantity: QuantityKey, worth: str) -> str:
    names = {"first": one.of, "second": one.less}
    between = tr("between {low} and {high}", low=_way(one.low, quantity), high=_way(one.high, quantity))
    if one.found is Found.ALIKE:
        return tr(
            "{first} and {second} are alike enough: {between}, less than the {worth} worth acting on.",
            **names,
            between=between,
            worth=worth,
        )
    if one.found is Found.DIFFER:
        way = tr((_MORE if one.value > 0 else _LESS)[quantity])
        by = tr(
            "{first} is {amount} {way} than {second}, {between}.",
            **names,
            amount=_amount(abs(one.value), quantity),
            way=way,
            between=between,
        )
        beyond = (
            tr("They differ by more than the {worth} worth acting on.", worth=worth)
            if one.beyond
            else tr("They differ, perhaps by the {worth} worth acting on.", worth=worth)
        )
        return f"{by} {beyond}"
    told = tr("{first} and {second}: can't tell yet, {between}.", **names, between=between)
    if one.more is None:
        return f"{told} {tr('No number of plates in reach would tell.')}"
    more = tr(
        "About {plates} more plates of each, in {batches} batches, would tell four times in five.",
        plates=one.more.plates,
        batches=one.more.batches,
    )
    return f"{told} {more}"


def _way(value: float, quantity: QuantityKey) -> str:
    return f"{_number(abs(value), quantity)} {tr((_MORE if value > 0 else _LESS)[quantity])}"


def _number(value: float, quantity: QuantityKey) -> str:
    if quantity != "length":
        return f"{value:.2f}"
    unit = session_lengths()
    return f"{in_lengths(value, unit):.{1 if unit is Lengths.MILLIMETRES else 2}f}"


def _amount(value: float, quantity: QuantityKey) -> str:
    return f"{_number(value, quantity)} {session_lengths() if quantity == 'length' else tr('steps')}"


def _ask_capability(standard: Standard) -> None:
    with closing(open_house()) as house:
        kitchen = own_kitchen_first(house, key="capability_kitchen")
    quantity = _what("capability_what")
    usual = asked_range(standard, "place", None, None) if quantity == "place" else (None, None)
    low = _figure(quantity, said("Range from"), key="capability_low", value=usual[0])
    high = _figure(quantity, said("Range to"), key="capability_high", value=usual[1])
    st.caption(tr("An end that is left empty has no limit."))
    if not st.button(tr("Reckon"), key="capability_go"):
        return
    if low is None and high is None:
        st.error(tr("Give the range one end at least."))
        return
    try:
        low, high = asked_range(standard, quantity, low, high)
        found = _plates(standard, quantity, kitchen)
        plates = spread(found, quantity=quantity, standard=standard, within=(low, high))
        _tell_capability(capability_of(plates, low=low, high=high), quantity)
    except GraderError as error:
        tell(error)


def _tell_capability(found: Capability, quantity: QuantityKey) -> None:
    indices: tuple[tuple[str, Index | None, str], ...] = (
        ("Cp", found.cp, tr("the range over six standard deviations, within batches")),
        ("Cpk", found.cpk, tr("from the mean to the nearer end over three of them")),
        ("Pp", found.pp, tr("as Cp, what batches differ by too")),
        ("Ppk", found.ppk, tr("as Cpk, what batches differ by too")),
    )
    rows = [
        {tr("Index"): name, tr("Value"): f"{index.value:.2f}", "95 %": _between(index), tr("Says"): words}
        for name, index, words in indices
        if index is not None
    ]
    st.dataframe(pd.DataFrame(rows), hide_index=True, alt=tr("The indices of capability with their intervals"))
    parts = [(tr("fries of a plate"), found.sd_fries), (tr("plates of a batch"), found.sd_plates)]
    parts += [(tr("batches"), found.sd_batches), (tr("all together"), found.whole.sd)]
    told = ", ".join(f"{words} {_amount(sd, quantity)}" for words, sd in parts if sd is not None)
    st.markdown(literal(tr("What the spread is made of (standard deviations): {parts}.", parts=told)))
    outside = found.expected_outside
    expected = tr(
        "Expected outside the range: {share} of fries ({low} to {high}), if they are spread as normal.",
        share=f"{outside.value:.1%}",
        low=f"{outside.low:.1%}",
        high=f"{outside.high:.1%}",
    )
    counted = (
        ""
        if found.counted_outside is None
        else tr("Found outside the target: {share}.", share=f"{found.counted_outside:.1%}")
    )
    st.markdown(literal(f"{expected} {counted}".rstrip()))
    st.caption(
        tr(
            "Fries: {fries}; plates: {plates}; batches: {batches}. The method's own doubt is in the spread: fries "
            "scatter less than this.",
            fries=found.fries,
            plates=found.plates,
            batches=found.batches,
        )
    )
    if found.pp is None and found.ppk is None:
        st.caption(tr("All plates are of one batch: what batches add isn't in it. Take plates of more batches."))


def _between(index: Index) -> str:
    return f"{index.low:.2f}–{index.high:.2f}"
