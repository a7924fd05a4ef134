"""Which batch is meant on the fry line: kitchen, fryer, and a batch that is kept or begins now."""

from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime

import streamlit as st

from grader.acts.plates import batch_for, batches_of_line
from grader.language import tr
from grader.pages.components import acting
from grader.pages.components.device import paired_place, zone_of_visitor
from grader.pages.components.pass_setting import known_kitchens
from grader.pages.components.signing import own_name
from grader.records.database import Setting, open_house
from grader.records.database.house import records_there
from grader.records.database.reading import BatchLine, Wanted
from grader.records.house_values import house_values

_SHOWN = 12
_CHOOSE = "line_choose_batch"


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePlace:
    """A batch on the line; `batch_id` is None for one that isn't kept yet."""

    setting: Setting
    batch_id: int | None

    def kept_id(self) -> int:
        """Its id in the records, where it is added if need be."""
        if self.batch_id is not None:
            return self.batch_id
        with closing(open_house()) as house:
            return batch_for(acting.who_acts(), house, self.setting, now=datetime.now(UTC))


def show_place() -> LinePlace | None:
    """Kitchen, fryer and batch; None until a kitchen is named."""
    values, paired = house_values(), paired_place()
    left, right = st.columns(2)
    with left:
        kitchen, zone = (paired.kitchen, paired.zone) if paired else _kitchen(values.kitchen, values.zone)
    fryer = right.text_input(tr("Fryer"), key="line_fryer", max_chars=40).strip()
    if not kitchen:
        st.info(tr("Name your kitchen to keep line sheets; causes, loads and trials need none."))
        return None
    batches = _batches(kitchen)
    wanted = st.session_state.pop(_CHOOSE, None)
    if wanted is not None:
        there = next((one for one in batches if one.batch_id == wanted), None)
        st.session_state[f"line_batch_{kitchen}"] = there
    chosen = st.selectbox(
        tr("Batch"), [None, *batches], format_func=lambda one: tr("a new one") if one is None else _words(one),
        key=f"line_batch_{kitchen}",
    )  # fmt: skip
    name = "plates" if chosen else st.text_input(tr("What it is called"), value=tr("batch"), key="line_name").strip()
    setting = Setting(kitchen=kitchen, zone=zone, fryer=fryer, batch=name or tr("batch"), by=own_name(values.by))
    return LinePlace(setting=setting, batch_id=None if chosen is None else chosen.batch_id)


def choose_batch(batch_id: int) -> None:
    """From the next run of the page on this batch is the chosen one."""
    st.session_state[_CHOOSE] = batch_id


def _kitchen(usual: str, zone: str) -> tuple[str, str]:
    known = known_kitchens()
    names = list(dict.fromkeys([*([usual] if usual else []), *known]))
    told = st.selectbox(
        tr("Kitchen"),
        names,
        index=0 if names else None,
        accept_new_options=True,
        placeholder=tr("Type its name"),
        key="line_kitchen",
    )
    kitchen = (told or "").strip()
    if not kitchen or kitchen in known:
        return kitchen, ""
    return kitchen, st.text_input(tr("Its time zone"), value=zone or zone_of_visitor(), key="line_zone").strip()


def _batches(kitchen: str) -> tuple[BatchLine, ...]:
    if not records_there():
        return ()
    with closing(open_house()) as house:
        return batches_of_line(acting.who_acts(), house, Wanted(kitchen=kitchen))[:_SHOWN]


def _words(one: BatchLine) -> str:
    """With its number: Streamlit tells options apart by their words alone, and batches are often called alike."""
    words = ", ".join(word for word in (str(one.day), one.shift, one.name, one.lot) if word)
    return tr("{words} (batch {number})", words=words, number=one.batch_id)
