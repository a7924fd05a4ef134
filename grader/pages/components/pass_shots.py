"""Plates at the pass, one shot after another: what was shot in this visit, and what the next shot shows."""

import time
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Literal, get_args

import streamlit as st

from grader.language import said, tr
from grader.pages.components.plain_words import literal
from grader.pages.components.visit import visit
from grader.records.database import Kept
from grader.records.house_values import HouseValues
from grader.records.naming import PHOTO_SUFFIXES
from grader.records.open_batches import OpenBatch, OpenShot, batches_folder, close_batch, keep_open, open_batch

What = Literal["plain", "seasoned", "look"]
_WHAT: dict[What, str] = {
    "plain": said("Plain plate"),
    "seasoned": said("Seasoned"),
    "look": said("Basket or cone"),
}

_BUTTON = '.st-key-pass-shoot [data-testid="stFileUploaderDropzone"] button::after { content: "%s"; }'
"""Streamlit's own word on the button is in English only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """One photo: its bytes, what it shows, seconds after the lift where somebody told them."""

    name: str
    data: bytes
    what: What
    lifted_s: float | None


@dataclass(slots=True, kw_only=True)
class Batch:
    """The batch at hand; `kept` holds what the records know of each shot, `calls` what its cook called it, by place.

    `unchained` is why what was kept last couldn't be entered in the chain of records; empty where it was.
    """

    name: str = ""
    shots: list[Shot] = field(default_factory=list)
    refused: Shot | None = None
    kept: dict[int, Kept] = field(default_factory=dict)
    calls: dict[int, str] = field(default_factory=dict)
    turn: int = 0
    lifted_at: float | None = None
    carried_on: bool = False
    unchained: str = ""


def batch() -> Batch:
    """The batch of whoever has the page open; after a reload, the one that wasn't finished."""
    if "pass_batch" not in st.session_state:
        there = open_batch(batches_folder(), visit())
        st.session_state["pass_batch"] = Batch() if there is None else _carried_on(there)
    return st.session_state["pass_batch"]  # type: ignore[no-any-return]


def begin_anew() -> None:
    """The next plate begins another batch; the uploader is a new one, so that it holds no earlier photo."""
    close_batch(batches_folder(), visit())
    st.session_state["pass_batch"] = Batch(turn=batch().turn + 1)


def outlast_reload(now: Batch) -> None:
    """Keep the batch as it is now beside the records; where that can't be, the records still have what they keep."""
    if not now.shots:
        return
    shots = tuple(
        OpenShot(
            name=shot.name,
            data=shot.data,
            what=shot.what,
            lifted_s=shot.lifted_s,
            called=now.calls.get(k, ""),
            kept=now.kept.get(k),
        )
        for k, shot in enumerate(now.shots)
    )
    with suppress(OSError):
        keep_open(batches_folder(), visit(), OpenBatch(name=now.name, shots=shots))


def _carried_on(there: OpenBatch) -> Batch:
    known: dict[str, What] = {what: what for what in get_args(What)}
    shots = [
        Shot(name=one.name, data=one.data, what=known.get(one.what, "look"), lifted_s=one.lifted_s)
        for one in there.shots
    ]
    return Batch(
        name=there.name,
        shots=shots,
        kept={k: one.kept for k, one in enumerate(there.shots) if one.kept is not None},
        calls={k: one.called for k, one in enumerate(there.shots) if one.called},
        carried_on=True,
    )


def take_shot(now: Batch, house: HouseValues, *, clock_words: str) -> bool:
    """Ask for the next photo; whether one came, which is then in the batch."""
    what = _what_it_is()
    _show_lift(now, house)
    label = tr("Add another plate") if now.shots else tr("Photograph the plate")
    st.html(f"<style>{_BUTTON % tr('Camera or photo')}</style>")
    with st.container(key="pass-shoot"):
        photo = st.file_uploader(
            label,
            type=[suffix.removeprefix(".") for suffix in sorted(PHOTO_SUFFIXES)],
            key=f"pass_photo_{now.turn}",
        )
    if photo is None:
        return False
    shot = Shot(name=photo.name, data=photo.getvalue(), what=what, lifted_s=_since_lift(now))
    now.turn += 1
    now.lifted_at = None
    now.refused = None
    if shot.data not in [one.data for one in now.shots]:
        now.shots.append(shot)
        now.name = now.name or clock_words
        outlast_reload(now)
    return True


def take_back_last(now: Batch) -> None:
    """The last photo could not be used: it leaves the batch, and is told as refused."""
    now.refused = now.shots.pop()
    if now.shots:
        outlast_reload(now)
    else:
        close_batch(batches_folder(), visit())


def _what_it_is() -> What:
    chosen = st.segmented_control(
        tr("What the photo shows"),
        list(_WHAT),
        format_func=lambda one: tr(_WHAT[one]),
        default="plain",
        key="pass_what",
    )
    if chosen == "seasoned":
        st.caption(tr("Lengths are measured; colour is withheld, because salt and herbs change what shows."))
    if chosen == "look":
        st.caption(tr("A look, not a grade: in a basket or a cone most fries are hidden. It is not kept."))
    return chosen or "plain"


def _show_lift(now: Batch, house: HouseValues) -> None:
    """The house's window after the lift, and a button that starts counting."""
    window = tr(
        "Before seasoning, {first} to {last} s after the lift: the film of oil settled, no steam.",
        first=f"{house.lift_from_s:.0f}",
        last=f"{house.lift_until_s:.0f}",
    )
    if now.lifted_at is None:
        st.caption(literal(window))
        if st.button(tr("Basket lifted"), key="pass_lifted", icon=":material/timer:"):
            now.lifted_at = time.monotonic()
            st.rerun()
        return
    _count(now, house)


@st.fragment(run_every=1.0)
def _count(now: Batch, house: HouseValues) -> None:
    seconds = _since_lift(now)
    if seconds is None:
        return
    words = lift_words(seconds, house)
    st.markdown(f"**{seconds:.0f} s** · {literal(words)}")


def lift_words(seconds: float, house: HouseValues) -> str:
    """Whether a moment after the lift lies in the house's window."""
    if seconds < house.lift_from_s:
        return tr("wait: oil and steam settle until {first} s", first=f"{house.lift_from_s:.0f}")
    if seconds <= house.lift_until_s:
        return tr("within the house's window")
    return tr("later than the house's window of {last} s; it is kept with the photo", last=f"{house.lift_until_s:.0f}")


def _since_lift(now: Batch) -> float | None:
    return None if now.lifted_at is None else time.monotonic() - now.lifted_at
