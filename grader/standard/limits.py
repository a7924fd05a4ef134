"""The limits of a house standard from its file: what a batch must show, and may show at most."""

from itertools import groupby, pairwise
from typing import cast, get_args

from grader.standard.fields import Table
from grader.standard.model import MM_PER_INCH, LengthShare, Limits, ShareBy

_AT_MOST = (
    "short_share_at_most",
    "sliver_share_at_most",
    "dark_end_share_at_most",
    "spotted_share_at_most",
    "width_off_share_at_most",
    "out_of_target_at_most",
)
_OPTIONAL = {
    "scrap_share_at_most": "scrap_below_mm",
    "crumb_share_at_most": "piece_from_mm",
    "curved_share_at_most": "curved_from_bow_share",
    "torn_end_share_at_most": "torn_end_from_mm",
}
"""Limits that may be left out, and the field of the defects without which each means nothing."""
LEAST = 0.01
"""No sample can show a share of nothing, or of all: a limit of 0 or of "at least 1" could never be met."""
SPREAD_STEPS = 0.05, 20.0
"""What a limit on spread can be."""
_MOST = 0.99
_SHORTEST_MM, _LONGEST_MM = 5.0, 300.0
_SHORTEST_IN, _LONGEST_IN = 0.25, 12.0
_DECIMALS_MM = 4
"""3 x 25.4 is 76.2: of a product in binary numbers the rest is rounding."""


def read_limits(table: Table, *, defects: Table) -> Limits | None:
    """The limits in `table`; `defects` says from when on something counts."""
    at_most = {key: share for key in _AT_MOST if (share := table.share(key, LEAST, 1)) is not None}
    optional = {key: table.share(key, LEAST, 1) for key in _OPTIONAL if table.has(key)}
    spread = table.number("spread_steps_at_most", *SPREAD_STEPS, unit="steps")
    entries = list(table.tables("length_shares"))
    lengths = [_length_share(entry) for entry in entries]
    table.close()
    for key in optional:
        if not defects.has(_OPTIONAL[key]):
            table.fault(key, f"means nothing without {_OPTIONAL[key]} in [defects]: from when on it counts")
    _check_order(entries, lengths)
    whole = tuple(share for share in lengths if share is not None)
    if len(at_most) < len(_AT_MOST) or spread is None or len(whole) < len(lengths):
        return None
    return Limits(
        length_shares=whole,
        spread_steps_at_most=spread,
        scrap_share_at_most=optional.get("scrap_share_at_most"),
        crumb_share_at_most=optional.get("crumb_share_at_most"),
        curved_share_at_most=optional.get("curved_share_at_most"),
        torn_end_share_at_most=optional.get("torn_end_share_at_most"),
        **at_most,
    )


def _length_share(table: Table) -> LengthShare | None:
    length_mm, length_in = _length(table)
    share = table.share("at_least_share", LEAST, _MOST)
    by = table.choice("by", get_args(ShareBy)) if table.has("by") else "count"
    table.close()
    if length_mm is None or share is None or by is None:
        return None
    return LengthShare(length_mm=length_mm, at_least_share=share, length_in=length_in, by=cast("ShareBy", by))


def _length(table: Table) -> tuple[float | None, float | None]:
    """The length in mm, and in inches where it is written so."""
    in_mm, in_inches = table.has("length_mm"), table.has("length_in")
    if in_mm and in_inches:
        table.fault("length_in", "stands beside length_mm; give one of them, the other follows from it")
        return None, None
    if not in_mm and not in_inches:
        table.fault("length_mm", "is missing; give a number of mm, or length_in with a number of inches")
        return None, None
    if in_mm:
        return table.number("length_mm", _SHORTEST_MM, _LONGEST_MM, unit="mm"), None
    inches = table.number("length_in", _SHORTEST_IN, _LONGEST_IN, unit="inches")
    return None if inches is None else round(inches * MM_PER_INCH, _DECIMALS_MM), inches


def _check_order(entries: list[Table], lengths: list[LengthShare | None]) -> None:
    """Of the shares by count, and of those by mass: the shortest first, and never more asked for of longer fries."""
    read = [(entry, share) for entry, share in zip(entries, lengths, strict=True) if share is not None]
    for _, same in groupby(sorted(read, key=lambda pair: pair[1].by), key=lambda pair: pair[1].by):
        ordered = list(same)
        for (_, before), (entry, after) in pairwise(ordered):
            if after.length_mm <= before.length_mm:
                key = "length_mm" if after.length_in is None else "length_in"
                entry.fault(key, f"is {after.length_mm:g} mm after {before.length_mm:g} mm; list the shortest first")
            elif after.at_least_share > before.at_least_share:
                asked = f"{after.at_least_share:g} after {before.at_least_share:g}"
                entry.fault("at_least_share", f"is {asked}: more long fries are asked for than shorter ones")
