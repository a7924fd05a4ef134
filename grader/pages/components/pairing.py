"""Pairing a phone: which kitchen and shift, for how long; then the code; and which phones are paired."""

from base64 import b64encode
from datetime import UTC, datetime, timedelta
from io import BytesIO
from urllib.parse import quote

import segno
import streamlit as st

from grader.acts.house import new_code, unpair_all
from grader.errors import GraderError
from grader.language import tr, trn
from grader.pages.components import acting
from grader.pages.components.device import zone_of_visitor
from grader.pages.components.plain_words import literal, tell
from grader.records.database.setting import zone_called
from grader.records.house_values import house_values
from grader.serving.here import PAIR_PATH, pairings, served_at
from grader.serving.pairing import CODE_LASTS, Place

_SHIFT_HOURS, _HOURS_AT_MOST = 8, 16


def show() -> None:
    """The form, the code, the phones."""
    address = served_at()
    if not address:
        st.info(
            tr(
                "This page is for its own machine only. To use it from phones, start it with "
                "`python -m grader serve`: it is then encrypted, and only paired phones see it."
            )
        )
        return
    place = _asked_place()
    if place is not None:
        code = new_code(acting.who_acts(), pairings(), place)
        _show_code(f"{address}{PAIR_PATH}?c={quote(code)}")
    _show_phones()


def _asked_place() -> Place | None:
    usual = house_values()
    with st.form("pairing", border=False):
        kitchen = st.text_input(tr("Kitchen"), value=usual.kitchen, key="pair_kitchen").strip()
        zone = st.text_input(tr("Its time zone"), value=usual.zone or zone_of_visitor(), key="pair_zone").strip()
        shift = st.text_input(tr("Shift"), value=usual.shift, key="pair_shift").strip()
        hours = st.number_input(tr("For how many hours"), 1, _HOURS_AT_MOST, _SHIFT_HOURS, key="pair_hours")
        asked = st.form_submit_button(tr("Show a code"), type="primary")
    if not asked:
        return None
    if not kitchen:
        st.error(tr("Name the kitchen first: a phone is paired to one."))
        return None
    try:
        zone_called(zone)
    except GraderError as error:
        tell(error)
        return None
    return Place(kitchen=kitchen, zone=zone, shift=shift, until=datetime.now(UTC) + timedelta(hours=hours))


def _show_code(link: str) -> None:
    drawn = BytesIO()
    segno.make(link, error="m").save(drawn, kind="svg", scale=8, border=4, dark="#000", light="#fff")
    packed = b64encode(drawn.getvalue()).decode()
    st.image(f"data:image/svg+xml;base64,{packed}", width=320, alt=tr("Square code that pairs one phone"))
    st.markdown(tr("Scan it with the phone's camera, open the link, tap the button."))
    minutes = int(CODE_LASTS.total_seconds() // 60)
    st.caption(tr("It pairs one phone, once, within {minutes} minutes.", minutes=minutes))
    st.caption(
        tr(
            "The phone may warn of this house's own certificate. Go on only where the address is the one of this "
            "machine: {address}",
            address=literal(served_at()),
        )
    )


def _show_phones() -> None:
    phones = pairings().phones()
    st.subheader(tr("Phones that are paired"), anchor=False)
    if not phones:
        st.caption(tr("None."))
    for kitchen in sorted({phone.kitchen for phone in phones}):
        count = sum(phone.kitchen == kitchen for phone in phones)
        st.markdown(literal(f"{kitchen}: " + trn("{n} phone", "{n} phones", count)))
        if st.button(tr("Let go of the phones of {kitchen}", kitchen=literal(kitchen)), key=f"unpair_{kitchen}"):
            unpair_all(acting.who_acts(), pairings(), kitchen)
            st.rerun()
