"""Control photographs of one card, phone and light over time: the chart of what is watched."""

import numpy as np

from grader.consistency.control.series import ControlWatch, Row, Watched
from grader.drawing.control_chart import ControlChart, Flag, Panel
from grader.language import retell

_OUT = "A"


def control_photos_chart(watch: ControlWatch, *, title: str) -> ControlChart | None:
    """The chart of a row; None while there are no limits to draw."""
    if not watch.rows:
        return None
    shown = [_panel(what, row, watch.first) for what, row in watch.rows.items()]
    any_out = any(row.out.any() for row in watch.rows.values())
    return ControlChart(
        title=title,
        labels=tuple(retell(f"{one.at:%d %b}") for one in watch.taken),
        panels=tuple(shown),
        flags=(Flag(before=watch.first, words=retell(f"the first {watch.first} photos set the limits")),),
        legend={_OUT: retell("beyond the limit")} if any_out else {},
    )


def _panel(what: Watched, row: Row, first: int) -> Panel:
    n = len(row.values)
    words = retell(what.value)
    unit = "CIELAB" if what is Watched.LEFT else "%"
    distance = row.low is None
    centre = float(np.median(row.values[:first])) if distance else 0.0
    return Panel(
        title=f"{words[:1].upper()}{words[1:]}, {unit}",
        value=row.values,
        centre=np.full(n, centre),
        low=np.full(n, 0.0 if row.low is None else row.low),
        high=np.full(n, row.high),
        letters={int(at): _OUT for at in np.flatnonzero(row.out)},
    )
