"""Charts over time on the page: whose plates, which measure, the baseline, the rules; then pictures and words."""

from base64 import b64encode
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, tzinfo
from html import escape

import numpy as np
import streamlit as st

from grader.acts.reading import from_house
from grader.consistency.baseline import Baseline
from grader.consistency.batches import Batch, Measure
from grader.consistency.change_words import CAUTION, MEASURE_WORDS, Clock, change_lines
from grader.consistency.model import PlateSummary
from grader.consistency.rules import RULES, USUAL, RuleKey
from grader.consistency.shift_watch import Asked, Line, Period, ShiftWatch, lines_of, shift_watch
from grader.consistency.signal_words import (
    LETTERS,
    baseline_line,
    share_line,
    share_title,
    signal_lines,
    untold_line,
)
from grader.drawing.control_chart import NARROW_PX, WIDE_PX, ControlChart, control_chart_svg, spoken
from grader.drawing.shift_chart import (
    LATEST,
    LATEST_ON_A_PHONE,
    Target,
    batch_chart,
    line_title,
    share_chart,
    target_of,
)
from grader.language import retell, said, tr, trn
from grader.pages.components import acting, choosing, shift_keeping
from grader.pages.components.invented_shifts import invented_shifts
from grader.pages.components.kept_picture import kept_picture
from grader.pages.components.plain_words import literal
from grader.records.database.house import House, open_house
from grader.records.database.reading import Wanted
from grader.records.house_values import house_values
from grader.records.shift_baselines import kept_baseline
from grader.records.shift_sources import (
    ShiftSource,
    baseline_chart,
    kitchen_clock,
    kitchen_names,
    kitchen_zone,
    period_of,
    photos_of,
)
from grader.roles.model import Duty
from grader.standard.model import Standard

_SEED = 0
_EMPTY = said(
    "The records hold no plate that was judged by this standard. `python -m grader records import` brings in folders "
    "of photos, with kitchen, fryer, shift and lot."
)
_PHOTOS_A_SIDE = 3
_SIGNALS_TOLD = 5
_STYLE = """<style>
.fg-chart { width: 100%; max-width: 760px; }
.fg-narrow { display: none; }
@media (max-width: 600px) { .fg-wide { display: none; } .fg-narrow { display: block; } }
</style>"""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Chosen:
    """One fryer's plates, where they came from, and the clock of its kitchen."""

    line: Line
    plates: tuple[PlateSummary, ...]
    source: ShiftSource
    zone: tzinfo | None
    invented: bool

    @property
    def clock(self) -> Clock:
        return kitchen_clock(self.zone)

    def plate_words(self, plate: str) -> str:
        """What a plate is called: "plate 15", which the records and the example say of all of theirs."""
        return retell(self.source.name(plate))


def show() -> Standard | None:
    """Everything, to the plates on both sides of a change; gives the standard where records hold its plates."""
    standard = choosing.standard()
    if standard is None:
        return None
    with closing(open_house()) as house:
        source = from_house(
            acting.who_acts(), house, Wanted(kitchen=own_kitchen_first(house, key="shift_kitchen")), standard=standard
        )
        invented = not source.plates
        if invented:
            st.info(tr(_EMPTY))
            if not st.checkbox(tr("Show an example (invented figures)"), key="shift_example"):
                return None
            source = invented_shifts(standard)
        chosen = _line(house, source, invented=invented)
        measure = st.segmented_control(
            tr("What"),
            list(MEASURE_WORDS),
            format_func=lambda one: retell(MEASURE_WORDS[one].title),
            default="place",
            key="shift_what",
        )
        asked = _asked(house, chosen, measure or "place")
        told = shift_watch(chosen.plates, chosen.source.events, asked, np.random.default_rng(_SEED))
        _tell(house, chosen, told, target_of(standard, asked.measure))
        if not chosen.invented and acting.may(Duty.METHOD):
            shift_keeping.show_freezing(house, chosen.plates, told, chosen.clock)
            shift_keeping.show_event(house, chosen.line, zone=chosen.zone)
    return None if invented else standard


def own_kitchen_first(house: House, *, key: str) -> str:
    """Asked where there are several, so that the records needn't tell of all at once; this house's own comes first."""
    names, own = kitchen_names(house), house_values().kitchen
    usual = names.index(own) if own in names else 0
    return st.selectbox(tr("Kitchen"), names, index=usual, key=key) if len(names) > 1 else ""


def _line(house: House, source: ShiftSource, *, invented: bool) -> _Chosen:
    lines = lines_of(source.plates)
    line = st.selectbox(tr("Kitchen and fryer"), list(lines), format_func=line_title, key="shift_line")
    zone = UTC if invented else kitchen_zone(house, line.kitchen)
    return _Chosen(line=line, plates=lines[line], source=source, zone=zone, invented=invented)


def _asked(house: House, chosen: _Chosen, measure: Measure) -> Asked:
    """The baseline and the rules, behind a lid: what is usual is right for most."""
    kept = None if chosen.invented else kept_baseline(house, baseline_chart(chosen.plates, measure))
    shares = sorted({key for plate in chosen.plates for key in plate.shares})
    with st.expander(tr("Baseline, rules and shares")):
        baseline = _baseline(chosen, kept)
        rules = st.multiselect(
            tr("Rules that are on"),
            list(RULES),
            default=[key for key in RULES if key in USUAL],
            format_func=lambda key: f"{LETTERS[key]}: {retell(RULES[key].title)}",
            placeholder=tr("Choose"),
            key="shift_rules",
        )
        st.caption(
            tr("Each rule more is one more way to be wrong: all together cry wolf several times as often as the three.")
        )
        keys = st.multiselect(
            tr("Shares to chart as well"),
            shares,
            format_func=lambda one: retell(share_title(one)),
            placeholder=tr("Choose"),
            key="shift_shares",
        )
    return Asked(
        measure=measure, baseline=baseline, rules=frozenset(RuleKey(key) for key in rules), share_keys=tuple(keys)
    )


def _baseline(chosen: _Chosen, kept: Baseline | None) -> Baseline | Period | None:
    """The frozen one, a period that is chosen here to try it, or nobody's choice."""
    if kept is not None:
        st.caption(tr("The baseline was frozen in the records (`consistency baseline`)."))
        if not st.checkbox(tr("Try another period"), key="shift_other"):
            return kept
    days = [plate.taken_at.astimezone(chosen.zone).date() for plate in (chosen.plates[0], chosen.plates[-1])]
    left, right = st.columns(2)
    first = left.date_input(tr("Baseline from"), value=None, min_value=days[0], max_value=days[1], key="shift_from")
    last = right.date_input(tr("until"), value=None, min_value=days[0], max_value=days[1], key="shift_until")
    st.caption(tr("Left empty: the earliest batches."))
    return None if first is None or last is None else period_of(min(first, last), max(first, last), chosen.zone)


def _tell(house: House, chosen: _Chosen, told: ShiftWatch, target: Target) -> None:
    clock = chosen.clock
    if told.changed.check_asked is not None:
        st.warning(
            literal(
                tr(
                    "Since the last batch: {event}. Fry a first basket and photograph it.",
                    event=retell(told.changed.check_asked.words),
                )
            )
        )
    _say_signals(list(signal_lines(told, clock)))
    _draw(
        batch_chart(told, clock, target=target),
        batch_chart(told, clock, latest=LATEST_ON_A_PHONE, target=target),
    )
    st.caption(_shown(told) + literal(retell(baseline_line(told, clock))))
    _say(tr("What changed, and when"), list(change_lines(told.changed, told.measure, clock, chosen.plate_words)))
    _both_sides(house, told)
    for key, share in told.shares.items():
        _draw(share_chart(told, key, clock), share_chart(told, key, clock, latest=LATEST_ON_A_PHONE))
        st.markdown(literal(retell(share_line(key, share, clock, chosen.plate_words))))
    for key in told.untold:
        st.caption(literal(retell(untold_line(key))))
    st.caption(retell(CAUTION))


def _shown(told: ShiftWatch) -> str:
    if len(told.batches) <= LATEST_ON_A_PHONE:
        return ""
    return tr("The chart shows the latest {n} batches, on a phone {few}.", n=LATEST, few=LATEST_ON_A_PHONE) + " "


def _say(title: str, lines: Sequence[str]) -> None:
    st.subheader(title, anchor=False)
    st.markdown("\n".join(f"- {literal(retell(line))}" for line in lines))


def _say_signals(lines: Sequence[str]) -> None:
    """The latest first; of a long time all others behind a lid, so that the chart is near."""
    _say(tr("What stands out"), lines[:_SIGNALS_TOLD])
    earlier = lines[_SIGNALS_TOLD:]
    if earlier:
        with st.expander(trn("{n} earlier one", "{n} earlier ones", len(earlier))):
            st.markdown("\n".join(f"- {literal(retell(line))}" for line in earlier))


def _draw(wide: ControlChart, narrow: ControlChart) -> None:
    """Both widths; the browser shows the one that fits, so that letters keep their size."""
    pictures = _picture(wide, "fg-wide", WIDE_PX) + _picture(narrow, "fg-narrow", NARROW_PX)
    st.html(_STYLE + pictures)


def _picture(chart: ControlChart, shown: str, width_px: int) -> str:
    packed = b64encode(control_chart_svg(chart, width_px=width_px).encode()).decode()
    words = escape(spoken(chart), quote=True)
    return f'<img class="fg-chart {shown}" src="data:image/svg+xml;base64,{packed}" alt="{words}">'


def _both_sides(house: House, told: ShiftWatch) -> None:
    """Photos of plates before and after each change that was found."""
    for changed in told.changed.changes:
        sides = {tr("Before"): changed.before[-1:], tr("After"): changed.after[:1]}
        photos = photos_of(house, [plate for batches in sides.values() for batch in batches for plate in batch.plates])
        if not photos:
            continue
        with st.expander(
            tr("Plates on both sides of the change after batch {n}", n=changed.part.start + changed.change.after)
        ):
            for title, batches in sides.items():
                st.markdown(f"**{title}**")
                _row(house, batches, photos)


def _row(house: House, batches: Sequence[Batch], photos: dict[str, str]) -> None:
    plates = [plate for batch in batches for plate in batch.plates][:_PHOTOS_A_SIDE]
    for column, plate in zip(st.columns(_PHOTOS_A_SIDE), plates, strict=False):
        words, picture = tr("plate {plate}", plate=plate.plate), kept_picture(house, photos[plate.plate])
        if picture is None:
            column.caption(literal(f"{words}: {tr('its photo is not there any more')}"))
        else:
            column.image(picture, caption=literal(words), alt=words)
