"""Plates on the page kept in the records, as the command line keeps them: where they come from is asked in a form."""

import streamlit as st

from grader.acts.plates import batch_keeper, know_kitchen
from grader.evidence.arrivals import Chainer
from grader.language import retell, said, tr
from grader.pages.components import acting
from grader.pages.components.grading import SeenBatch, grader
from grader.pages.components.plain_words import literal
from grader.pages.components.signing import ask_name
from grader.records.database import House, Setting, open_house
from grader.records.database.importing import BatchKeeper
from grader.records.database.keeping import plate_to_keep
from grader.records.database.setting import LotFacts

_FIELDS = {
    "station": said("Station"),
    "fryer": said("Fryer"),
    "shift": said("Shift"),
    "supplier": said("Supplier"),
    "lot": said("Lot number"),
    "batch": said("Batch"),
}


def show_records_keeping(batch: SeenBatch) -> None:
    """The form that keeps a batch; the records are opened, or made, only when somebody keeps something."""
    with st.expander(tr("Keep these plates in the records")), st.form("records_keeping", border=False):
        st.markdown(
            tr("Photos, each fry and the decision stay on this machine until your own rule deletes the photos.")
        )
        kitchen = st.text_input(tr("Kitchen"), key="records_kitchen")
        zone = st.text_input(tr("Its time zone, the first time"), key="records_zone", placeholder="Europe/Lisbon")
        told = {
            field: st.text_input(tr(label), key=f"records_{field}", value="plates" if field == "batch" else "")
            for field, label in _FIELDS.items()
        }
        told["by"] = ask_name(tr("Kept by (initials)"), key="records_by")
        asked = st.form_submit_button(tr("Keep them"), type="primary")
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
        know_kitchen(acting.who_acts(), house, setting)
        keeper, unchained = _kept(house, batch, setting)
    finally:
        house.close()
    new = sum(one.new for one in keeper.kept)
    told = tr("Kept: {new} new, {known} known.", new=new, known=len(keeper.kept) - new)
    st.success(f"{literal(told)} {literal(house.place)}")
    for name, words in keeper.problems:
        st.warning(f"{literal(tr('{name} was not kept:', name=name))} {literal(retell(words))}")
    if unchained:
        st.warning(literal(retell(unchained)))


def _kept(house: House, batch: SeenBatch, setting: Setting) -> tuple[BatchKeeper, str]:
    """What was kept of a batch, and why that couldn't be entered in the chain of records; empty where it was."""
    graded = [one.graded for one in batch.photos]
    keeper = batch_keeper(acting.who_acts(), house, setting, batch.standard, graded)
    chainer = Chainer.of(house)
    for seen, data in zip(batch.photos, batch.files, strict=True):
        whole = grader().whole(seen, data, batch.standard)  # with its pixels it knows when it was taken
        keeper.photo(plate_to_keep(whole, data, standard=batch.standard), lambda data=data: data)  # type: ignore[misc]
    keeper.decide(batch.verdict)
    return keeper, chainer.chain({one.batch_id for one in keeper.kept})
