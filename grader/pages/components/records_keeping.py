"""Plates on the page kept in the records, as the command line keeps them: where they come from is asked in a form."""

import streamlit as st

from grader.pages.components.grading import SeenBatch, grader
from grader.pages.components.plain_words import literal
from grader.records.database import House, Setting, know_kitchen, open_house
from grader.records.database.importing import BatchKeeper
from grader.records.database.setting import LotFacts

_FIELDS = {
    "station": "Station",
    "fryer": "Fryer",
    "shift": "Shift",
    "supplier": "Supplier",
    "lot": "Lot number",
    "batch": "Batch",
    "by": "Kept by (initials)",
}


def show_records_keeping(batch: SeenBatch) -> None:
    """The form that keeps a batch; the records are opened, or made, only when somebody keeps something."""
    with st.expander("Keep these plates in the records"), st.form("records_keeping", border=False):
        st.markdown("Photos, each fry and the decision stay on this machine until your own rule deletes the photos.")
        kitchen = st.text_input("Kitchen", key="records_kitchen")
        zone = st.text_input("Its time zone, the first time", key="records_zone", placeholder="Europe/Lisbon")
        told = {
            field: st.text_input(label, key=f"records_{field}", value="plates" if field == "batch" else "")
            for field, label in _FIELDS.items()
        }
        asked = st.form_submit_button("Keep them", type="primary")
    if asked:
        _keep(batch, _setting(kitchen, zone, told))


def _setting(kitchen: str, zone: str, told: dict[str, str]) -> Setting:
    words = {field: text.strip() for field, text in told.items()}
    supplier, number = words.pop("supplier"), words.pop("lot")
    lot = LotFacts(supplier=supplier, number=number) if supplier or number else None
    return Setting(kitchen=kitchen.strip(), zone=zone.strip(), lot=lot, **words)  # type: ignore[arg-type]


def _keep(batch: SeenBatch, setting: Setting) -> None:
    house = open_house()
    try:
        know_kitchen(house, setting)
        keeper = _kept(house, batch, setting)
    finally:
        house.close()
    new = sum(one.new for one in keeper.kept)
    st.success(f"Kept: {new} new, {len(keeper.kept) - new} known. {literal(house.place)}")
    for name, words in keeper.problems:
        st.warning(f"{literal(name)} was not kept: {literal(words)}")


def _kept(house: House, batch: SeenBatch, setting: Setting) -> BatchKeeper:
    keeper = BatchKeeper(house=house, standard=batch.standard, setting=setting)
    for seen, data in zip(batch.photos, batch.files, strict=True):
        whole = grader().whole(seen, data, batch.standard)  # with its pixels it knows when it was taken
        keeper.photo(whole, lambda data=data: data)  # type: ignore[misc]
    keeper.decide(batch.verdict)
    return keeper
