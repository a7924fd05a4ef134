"""A picture on the page that says where it was tapped: Streamlit's own can't.

Made with `st.components.v2`, Streamlit's way for a widget of one's own, from code that lies here: nothing is fetched
from elsewhere, and it needs no package besides Streamlit.
"""

from base64 import b64encode
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import streamlit as st

from grader.arrays import FloatArray
from grader.fries.mends import PointPx

_HTML = """<div class="frame"><div class="sheet"><img alt=""><svg aria-hidden="true">
<defs><pattern id="lines" width="30" height="30" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
<rect width="30" height="30" class="pale"/><rect width="10" height="30" class="deep"/></pattern></defs>
<g></g></svg></div></div>
<div class="buttons"><button class="smaller" aria-label="Show the picture smaller">&minus;</button>
<button class="larger" aria-label="Show the picture larger">+</button></div>"""
_CSS = """
.frame { overflow: auto; max-height: 75vh; border-radius: 0.5rem; background: #24262a; }
.sheet { position: relative; width: 100%; }
img { display: block; width: 100%; cursor: crosshair; }
svg { position: absolute; inset: 0; width: 100%; height: 100%; pointer-events: none; }
.chosen { fill: url(#lines); }
.dark, .light { fill: none; vector-effect: non-scaling-stroke; }
.dark { stroke: #141414; stroke-width: 5.5px; }
.light { stroke: #ffe14d; stroke-width: 2.5px; }
.pale { fill: rgba(20, 20, 20, 0.2); }
.deep { fill: rgba(255, 225, 77, 0.6); }
.buttons { display: flex; gap: 0.5rem; margin-top: 0.5rem; }
button { flex: none; width: 3.2rem; height: 2.8rem; font-size: 1.5rem; line-height: 1; cursor: pointer;
  color: inherit; background: transparent; border: 1px solid rgba(128, 128, 128, 0.6); border-radius: 0.5rem; }
"""

_mount = st.components.v2.component(
    "tap_picture",
    html=_HTML,
    css=_CSS,
    js=Path(__file__).with_suffix(".js").read_text(encoding="utf-8"),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TapPicture:
    """A picture to tap on, and what is drawn over it.

    Attributes
    ----------
    jpeg, size_px, alt
        The picture, its width and height, and what it shows in words.
    chosen
        Outlines (k, 2), picture px, that are hatched.
    points
        Up to two points (2,), picture px, that are ringed; with a line between two.
    """

    jpeg: bytes
    size_px: tuple[int, int]
    alt: str
    chosen: tuple[FloatArray, ...]
    points: tuple[FloatArray, ...]


def show_tap_picture(shown: TapPicture, *, key: str, on_tap: Callable[[PointPx], None]) -> None:
    """Show a picture; a tap calls `on_tap` with its place, shares (0 to 1) of width and height."""

    def tapped() -> None:
        tap = st.session_state[key].tap
        on_tap((float(tap["across"]), float(tap["down"])))

    _mount(
        key=key,
        data={
            "picture": "data:image/jpeg;base64," + b64encode(shown.jpeg).decode(),
            "width": shown.size_px[0],
            "height": shown.size_px[1],
            "alt": shown.alt,
            "chosen": [_svg_points(outline) for outline in shown.chosen],
            "points": [[round(float(x), 1), round(float(y), 1)] for x, y in shown.points],
        },
        on_tap_change=tapped,
    )


def _svg_points(outline: FloatArray) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in np.asarray(outline).tolist())
