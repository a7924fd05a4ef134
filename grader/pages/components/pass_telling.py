"""What the pass is told: the verdict in one word, two reasons, the picture; or why a photo can't be used."""

from base64 import b64encode

import streamlit as st

from grader.decision.model import Verdict
from grader.drawing.shoot_again import shoot_again_svg, way_to_shoot_again
from grader.language import said, tr, trn
from grader.pages.components import results, verdicts
from grader.pages.components.manners import heard
from grader.pages.components.pass_judging import JudgedShot
from grader.pages.components.plain_words import literal
from grader.records.scale_words import fry_place
from grader.standard import CAUTIONS
from grader.standard.model import Standard
from grader.trueness import weakest

_DRAWN = {
    "card": said("Drawing: plate and card side by side, both wholly in the picture"),
    "lamp": said("Drawing: no lamp over the card"),
    "still": said("Drawing: the phone held still, straight above"),
    "light": said("Drawing: one even light from above"),
    "spread": said("Drawing: fries spread apart on the plate"),
    "file": said("Drawing: the phone's own file, sent as it is"),
}


def show_verdict(verdict: Verdict | None, judged: list[JudgedShot], standard: Standard) -> None:
    """The band, then the newest plate's picture."""
    plates = [one for one in judged if one.shot.what != "look"]
    if plates:
        verdicts.show_band(verdict, weakest(one.seen.graded.standing for one in plates))
        if CAUTIONS[standard.stage]:
            st.caption(literal(heard(CAUTIONS[standard.stage])))
        if any(one.shot.what == "seasoned" for one in plates):
            st.caption(tr("A plate was seasoned: colour is withheld for the batch. For colour, finish and begin anew."))
    _show_newest(judged[-1], number=len(plates), standard=standard)


def _show_newest(one: JudgedShot, *, number: int, standard: Standard) -> None:
    if one.shot.what == "look":
        _show_look(one, standard)
        return
    graded = one.seen.graded
    if one.seen.picture is not None:
        fries = 0 if graded.plate is None else len(graded.plate.fries)
        alt = trn(
            "Plate {number}: {n} fry outlined and numbered",
            "Plate {number}: {n} fries outlined and numbered",
            fries,
            number=number,
        )
        st.image(one.seen.picture, alt=alt, width="stretch")
        if number > 1:
            st.caption(tr(results.ALONE))
    for reason in graded.reasons:
        if not reason.quiet:
            st.caption(f"⚠ {literal(heard(reason.message))} {literal(heard(reason.hint))}")


def _show_look(one: JudgedShot, standard: Standard) -> None:
    """What shows of a basket or a cone, in words; no grade, and nothing of it is kept."""
    fries = () if one.seen.graded.plate is None else one.seen.graded.plate.fries
    places = sorted(place.steps for fry in fries if (place := fry_place(fry, standard.scale)) is not None)
    st.subheader(tr("A look, not a grade"), anchor=False)
    if not places:
        st.markdown(tr("No fry shows well enough to tell a colour."))
        return
    middle = places[len(places) // 2]
    nearest = standard.scale.steps[min(max(round(middle), 1), len(standard.scale.steps)) - 1].name
    words = trn(
        "{n} fry shows well enough; it looks nearest to {step} on the house scale.",
        "{n} fries show well enough; in the middle they look nearest to {step} on the house scale.",
        len(places),
        step=nearest,
    )
    st.markdown(literal(words))
    st.caption(tr("Most fries are hidden, and a wall of the basket shades them. For a grade, spread a plate."))


def show_refused(one: JudgedShot) -> None:
    """Why the photo can't be used, what to do, and a drawing of it."""
    reasons = one.seen.graded.reasons
    st.subheader(tr("This photo can't be used"), anchor=False)
    with st.container(horizontal=True, vertical_alignment="center"):
        way = way_to_shoot_again(reasons[0].code if reasons else "")
        packed = b64encode(shoot_again_svg(way).encode()).decode()
        st.image(f"data:image/svg+xml;base64,{packed}", width=150, alt=tr(_DRAWN[way]))
        for reason in reasons[: verdicts.REASONS_THAT_MATTER]:
            st.markdown(f"{literal(heard(reason.message))}  \n**{literal(heard(reason.hint))}**")
    st.caption(tr("Shoot the same plate again. The refused photo is kept too."))
