"""Charts over time on the page: whose plates, which measure, the baseline, the rules; then pictures and words."""

from base64 import b64encode
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, tzinfo
from html import escape

import numpy as np
import streamlit as st

from grader.consistency.baseline import Baseline
from grader.consistency.batches import Batch, Measure
from grader.consistency.change_words import CAUTION, MEASURE_WORDS, Clock, change_lines
from grader.consistency.model import PlateSummary
from grader.consistency.rules import RULES, USUAL, RuleKey
from grader.consistency.shift_watch import Asked, Line, Period, ShiftWatch, lines_of, shift_watch
from grader.consistency.signal_words import LETTERS, baseline_line, share_line, share_title, signal_lines
from grader.drawing.control_chart import NARROW_PX, WIDE_PX, ControlChart, control_chart_svg, spoken
from grader.drawing.shift_chart import LATEST, LATEST_ON_A_PHONE, batch_chart, share_chart
from grader.pages.components import choosing
from grader.pages.components.invented_shifts import invented_shifts
from grader.pages.components.plain_words import literal
from grader.records.database.house import House, open_house
from grader.records.database.reading import Wanted
from grader.records.shift_baselines import kept_baseline
from grader.records.shift_sources import (
    ShiftSource,
    baseline_chart,
    from_house,
    kitchen_clock,
    kitchen_names,
    kitchen_zone,
    period_of,
    photos_of,
)

_SEED = 0
_EMPTY = (
    "The records hold no plate that was judged by this standard. `python -m grader records import` brings in folders "
    "of photos, with kitchen, fryer, shift and lot."
)
_PHOTOS_A_SIDE = 3
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


def show() -> None:
    """Everything, from the standard to the plates on both sides of a change."""
    standard = choosing.standard()
    if standard is None:
        return
    with closing(open_house()) as house:
        source = from_house(house, Wanted(kitchen=_kitchen(house)), standard=standard)
        invented = not source.plates
        if invented:
            st.info(_EMPTY)
            if not st.checkbox("Show an example (invented figures)", key="shift_example"):
                return
            source = invented_shifts(standard)
        chosen = _line(house, source, invented=invented)
        measure = st.segmented_control(
            "What",
            list(MEASURE_WORDS),
            format_func=lambda one: MEASURE_WORDS[one].title,
            default="place",
            key="shift_what",
        )
        _tell(house, chosen, _asked(house, chosen, measure or "place"))


def _kitchen(house: House) -> str:
    """Asked where there are several, so that the records needn't tell of all at once."""
    names = kitchen_names(house)
    return st.selectbox("Kitchen", names, key="shift_kitchen") if len(names) > 1 else ""


def _line(house: House, source: ShiftSource, *, invented: bool) -> _Chosen:
    lines = lines_of(source.plates)
    line = st.selectbox("Kitchen and fryer", list(lines), format_func=lambda one: one.words, key="shift_line")
    zone = UTC if invented else kitchen_zone(house, line.kitchen)
    return _Chosen(line=line, plates=lines[line], source=source, zone=zone, invented=invented)


def _asked(house: House, chosen: _Chosen, measure: Measure) -> Asked:
    """The baseline and the rules, behind a lid: what is usual is right for most."""
    kept = None if chosen.invented else kept_baseline(house, baseline_chart(chosen.plates, measure))
    shares = sorted({key for plate in chosen.plates for key in plate.shares})
    with st.expander("Baseline, rules and shares"):
        baseline = _baseline(chosen, kept)
        rules = st.multiselect(
            "Rules that are on",
            list(RULES),
            default=[key for key in RULES if key in USUAL],
            format_func=lambda key: f"{LETTERS[key]}: {RULES[key].title}",
            key="shift_rules",
        )
        st.caption(
            "Each rule more is one more way to be wrong: all together cry wolf several times as often as the three."
        )
        keys = st.multiselect("Shares to chart as well", shares, format_func=share_title, key="shift_shares")
    return Asked(
        measure=measure, baseline=baseline, rules=frozenset(RuleKey(key) for key in rules), share_keys=tuple(keys)
    )


def _baseline(chosen: _Chosen, kept: Baseline | None) -> Baseline | Period | None:
    """The frozen one, a period that is chosen here to try it, or nobody's choice."""
    if kept is not None:
        st.caption("The baseline was frozen in the records (`consistency baseline`).")
        if not st.checkbox("Try another period", key="shift_other"):
            return kept
    days = [plate.taken_at.astimezone(chosen.zone).date() for plate in (chosen.plates[0], chosen.plates[-1])]
    left, right = st.columns(2)
    first = left.date_input("Baseline from", value=None, min_value=days[0], max_value=days[1], key="shift_from")
    last = right.date_input("until", value=None, min_value=days[0], max_value=days[1], key="shift_until")
    st.caption("Left empty: the earliest batches.")
    return None if first is None or last is None else period_of(min(first, last), max(first, last), chosen.zone)


def _tell(house: House, chosen: _Chosen, asked: Asked) -> None:
    told = shift_watch(chosen.plates, chosen.source.events, asked, np.random.default_rng(_SEED))
    clock = chosen.clock
    if told.changed.check_asked is not None:
        st.warning(
            literal(f"Since the last batch: {told.changed.check_asked.words}. Fry a first basket and photograph it.")
        )
    _say("What stands out", list(signal_lines(told, clock)))
    _draw(batch_chart(told, clock), batch_chart(told, clock, latest=LATEST_ON_A_PHONE))
    st.caption(_shown(told) + literal(baseline_line(told, clock)))
    _say("What changed, and when", list(change_lines(told.changed, told.measure, clock, chosen.source.name)))
    _both_sides(house, told)
    for key, share in told.shares.items():
        _draw(share_chart(told, key, clock), share_chart(told, key, clock, latest=LATEST_ON_A_PHONE))
        st.markdown(literal(share_line(key, share, clock, chosen.source.name)))
    st.caption(CAUTION)


def _shown(told: ShiftWatch) -> str:
    if len(told.batches) <= LATEST_ON_A_PHONE:
        return ""
    return f"The chart shows the latest {LATEST} batches, on a phone {LATEST_ON_A_PHONE}. "


def _say(title: str, lines: Sequence[str]) -> None:
    st.subheader(title, anchor=False)
    st.markdown("\n".join(f"- {literal(line)}" for line in lines))


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
        sides = {"Before": changed.before[-1:], "After": changed.after[:1]}
        photos = photos_of(house, [plate for batches in sides.values() for batch in batches for plate in batch.plates])
        if not photos:
            continue
        with st.expander(f"Plates on both sides of the change after batch {changed.part.start + changed.change.after}"):
            for title, batches in sides.items():
                st.markdown(f"**{title}**")
                _row(house, batches, photos)


def _row(house: House, batches: Sequence[Batch], photos: dict[str, str]) -> None:
    plates = [plate for batch in batches for plate in batch.plates][:_PHOTOS_A_SIDE]
    for column, plate in zip(st.columns(_PHOTOS_A_SIDE), plates, strict=False):
        column.image(house.photos.get(photos[plate.plate]), caption=f"plate {plate.plate}")
