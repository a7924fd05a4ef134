"""One fry seen close on the page, with why it is marked."""

import streamlit as st

from grader.drawing import draw_fry, picture_jpeg, why_marked
from grader.drawing.plate_picture import plate_fries
from grader.fries.model import Fry
from grader.language import said, tr
from grader.pages.components.grading import SeenPhoto, grader
from grader.pages.components.manners import heard
from grader.pages.components.plain_words import literal, plain_words
from grader.standard.model import Standard

_WHAT_IS_DRAWN = said(
    "Beads: it meets another fry or the photo's edge. Dashed strip: as wide as the cut. Rule: a shorter piece is "
    "short. Hatching: a dark end, or too much light. String from end to end: curved beyond use. Zigzag: a torn end."
)


@st.fragment
def show_fry(one: SeenPhoto, data: bytes, standard: Standard) -> None:
    """Choose a fry by its number; `data` are the photo's bytes."""
    fries = {fry.number: fry for fries in plate_fries(one.graded) for fry in fries}
    number = st.selectbox(
        tr("Why is a fry marked?"),
        list(fries),
        index=None,
        placeholder=tr("Its number"),
        format_func=lambda n: _words(fries[n], standard),
        key=f"closer_{one.key}",
    )
    if number is None:
        return
    with plain_words():
        picture = draw_fry(grader().whole(one, data, standard), number, standard)
        whys = why_marked(fries[number], standard)
        if picture is not None:
            st.image(
                picture_jpeg(picture),
                alt=tr("Fry {number} seen close.", number=number) + f" {_told(fries[number], standard)}",
            )
        for why in whys:
            st.markdown(
                f"- **{why.letter}** {literal(heard(why.words))}" if why.letter else f"- {literal(heard(why.words))}"
            )
        if whys:
            st.caption(tr(_WHAT_IS_DRAWN))
        else:
            st.caption(tr("Nothing is pointed out on this fry, and nothing about it is doubtful."))


def _words(fry: Fry, standard: Standard) -> str:
    letters = "".join(why.letter for why in why_marked(fry, standard))
    return f"{fry.number} · {letters}" if letters else str(fry.number)


def _told(fry: Fry, standard: Standard) -> str:
    return "; ".join(heard(why.words) for why in why_marked(fry, standard)) or tr("Nothing is pointed out.")
