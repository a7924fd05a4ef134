"""A verdict on the page: word, shape and colour, the reasons that matter, then limit by limit."""

from base64 import b64encode
from collections.abc import Sequence
from html import escape

import streamlit as st

from grader.decision import begin_with, by_gravity
from grader.decision.model import LimitDecision, Outcome, Verdict
from grader.drawing.signs import SIGNS, sign_svg, spoken
from grader.fries.mends import Mend, mend_words, signers
from grader.language import retell, tr, trn
from grader.pages.components.manners import heard
from grader.pages.components.plain_words import literal
from grader.trueness import Standing

REASONS_THAT_MATTER = 2


def _sign(outcome: Outcome | None, size_px: int, *, on_light: bool = False) -> str:
    """The sign as an image: Streamlit strips SVG out of a page's HTML. The word beside it says the same."""
    packed = b64encode(sign_svg(outcome, on_light=on_light).encode()).decode()
    return f'<img src="data:image/svg+xml;base64,{packed}" width="{size_px}" height="{size_px}" alt="">'


def reasons_that_matter(verdict: Verdict | None) -> list[str]:
    """Two at most: of what failed, or of a pass the limit that it came nearest to.

    Of what is undecided first the limit that the verdict's advice is for, so that no advice stands above other reasons.
    """
    if verdict is None or not verdict.limits:
        return []
    worst = by_gravity(verdict.limits)
    if verdict.outcome is Outcome.PASS:
        return [heard(f"Nearest to its limit: {worst[0].reason}")]
    told = [limit for limit in worst if limit.outcome is verdict.outcome]
    if verdict.outcome is Outcome.UNDECIDED:
        told.insert(0, begin_with(told))
    reasons = dict.fromkeys(limit.reason for limit in told)  # each told once
    return [heard(reason) for reason in list(reasons)[:REASONS_THAT_MATTER]]


def show_band(verdict: Verdict | None, standing: Standing | None) -> None:
    """The verdict, big enough to read across a pass, and what it may claim."""
    outcome = None if verdict is None else verdict.outcome
    sign = SIGNS[outcome]
    head = tr("No photo could be judged; see below why.") if verdict is None else heard(spoken(verdict.headline, sign))
    lines = "".join(f'<div class="fg-small">{escape(reason)}</div>' for reason in reasons_that_matter(verdict))
    st.html(
        f'<div class="fg-band" role="status" style="background: rgb{sign.ground}">{_sign(outcome, 56)}'
        f'<div><div class="fg-word">{retell(sign.word)}</div><div class="fg-head">{escape(head)}</div>{lines}'
        f'<div class="fg-small">{escape(_counted(verdict))}</div>'
        f'<div class="fg-small">{escape("" if standing is None else heard(standing.short))}</div></div></div>'
    )


def show_line(verdict: Verdict) -> None:
    """The verdict on one line, for a page on which it isn't the matter itself."""
    sign = SIGNS[verdict.outcome]
    head = escape(heard(spoken(verdict.headline, sign)))
    st.html(
        f'<div class="fg-band fg-line" role="status" style="background: rgb{sign.ground}">'
        f"{_sign(verdict.outcome, 30)}<div><b>{retell(sign.word)}</b> {head}</div></div>"
    )


def show_with_and_without(mended: Verdict | None, found: Verdict | None, mends: Sequence[Mend]) -> None:
    """That and by whom something was mended, and the verdict with and without, side by side."""
    done = "; ".join(heard(mend_words(mend)) for mend in mends)
    by = ", ".join(signers(mends))
    boxes = _half(tr("With mending"), mended) + _half(tr("Without mending"), found)
    whose = tr("Mended by {initials}:", initials=by)
    st.html(f'<div class="fg-small"><b>{escape(whose)}</b> {escape(done)}.</div><div class="fg-both">{boxes}</div>')


def _half(name: str, verdict: Verdict | None) -> str:
    outcome = None if verdict is None else verdict.outcome
    sign = SIGNS[outcome]
    words = "" if verdict is None else heard(spoken(verdict.headline, sign))
    return (
        f'<div class="fg-half" style="border-color: rgb{sign.ground}"><div class="fg-small">{name}</div>'
        f'<div class="fg-outcome">{_sign(outcome, 26, on_light=True)}<b>{retell(sign.word)}</b></div>'
        f'<div class="fg-small">{escape(words)}</div><div class="fg-small">{escape(_counted(verdict))}</div></div>'
    )


def show_claims(standing: Standing) -> None:
    """Why a verdict may claim what it does, and what would lift it."""
    colour = literal(tr("Colour, {level}:", level=retell(standing.colour.value)))
    length = literal(tr("Length, {level}:", level=retell(standing.length.value)))
    why_colour = literal(heard(f"{standing.colour_reason} {standing.colour_lift}".strip()))
    why_length = literal(heard(f"{standing.length_reason} {standing.length_lift}".strip()))
    st.caption(f"**{colour}** {why_colour}  \n**{length}** {why_length}")


def _counted(verdict: Verdict | None) -> str:
    if verdict is None:
        return ""
    plates = trn("{n} plate", "{n} plates", verdict.plates)
    counted = tr("{fries} fries on {plates}.", fries=verdict.fries_counted, plates=plates)
    left_out = verdict.fries_left_out
    return f"{counted} {tr('{fries} left out.', fries=left_out)}" if left_out else counted


def show_limits(verdict: Verdict, *, arithmetic: bool = True) -> None:
    """Each limit with its sign and reason; the arithmetic for QA, where wanted, folded away below."""
    st.html("".join(_limit(limit) for limit in by_gravity(verdict.limits)))
    if not arithmetic:
        return
    with st.expander(tr("The arithmetic, for QA")):
        for limit in by_gravity(verdict.limits):
            st.markdown(f"**{literal(heard(limit.title))}**: {literal(retell(limit.arithmetic))}")


def _limit(limit: LimitDecision) -> str:
    return (
        f'<div class="fg-limit">{_sign(limit.outcome, 30, on_light=True)}<div>'
        f"<b>{escape(heard(limit.title))}: {retell(SIGNS[limit.outcome].word).lower()}</b>"
        f"{escape(heard(limit.reason))}</div></div>"
    )
