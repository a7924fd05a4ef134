"""All pages in their order, what belongs together side by side, each with the duty that it takes to be offered it."""

from pathlib import Path

import streamlit as st
from streamlit.navigation.page import Page

from grader import pages
from grader.language import said, tr
from grader.roles.model import Actor, Duty, allow

_FOLDER = Path(pages.__file__).parent
_PAGES = (
    (Duty.GRADE, "at_the_pass", said("At the pass"), "photo_camera"),
    (Duty.GRADE, "honest_sample", said("Honest sample"), "casino"),
    (Duty.GRADE, "train_the_eye", said("Train the eye"), "visibility"),
    (Duty.GRADE, "the_line", said("The fry line"), "skillet"),
    (Duty.MENDING, "judge_a_batch", said("Judge a batch"), "collections"),
    (Duty.READ, "batches", said("Batches and lots"), "calendar_view_day"),
    (Duty.READ, "shift_to_shift", said("Shift to shift"), "timeline"),
    (Duty.METHOD, "new_lot", said("A new lot"), "inventory_2"),
    (Duty.STANDARDS, "house_standard", said("House standard"), "tune"),
    (Duty.CARDS, "print_a_card", said("Print a card"), "print"),
    (Duty.CARDS, "your_cards", said("Your cards"), "palette"),
    (Duty.METHOD, "watch_the_method", said("Watch the method"), "straighten"),
    (Duty.EVIDENCE, "evidence", said("Evidence"), "gavel"),
    (Duty.VERIFY, "check_evidence", said("Check a sealed file"), "verified"),
    (Duty.HOUSE, "pair_a_phone", said("Pair a phone"), "qr_code"),
)


def pages_for(actor: Actor) -> list[Page]:
    """The pages that somebody is offered; the first is what opens."""
    return [
        st.Page(_FOLDER / f"{name}.py", title=tr(title), icon=f":material/{icon}:")
        for duty, name, title, icon in _PAGES
        if allow(actor, duty)
    ]
