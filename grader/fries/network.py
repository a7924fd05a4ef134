"""The small network itself, run by OpenCV in three parts: down to the first halving, the deep middle, up again.

Its first and last parts see a picture at its full size, with most numbers a place. They go by strips of rows: what they
say of a place depends on two rows either side, so strips say to the last digit what the whole would, in less memory.
"""

from collections.abc import Iterator

import cv2
import numpy as np

from grader.arrays import Float32Array
from grader.places import calibration_folder

DEEPEST = 16
"""It halves its picture four times: heights and widths must be multiples of this."""
_STRIP, _BESIDE = 64, 2
_KEPT_CHANNELS, _CHANNELS_OUT = 24, 14


def run_network(picture: Float32Array) -> Float32Array:
    """What it says of a picture (12, h, w): (14, h, w), as `calibration/network/model.py` has it."""
    kept, halved = _down(picture)
    return _up(kept, _run(_part("middle"), p1=halved))


def _down(picture: Float32Array) -> tuple[Float32Array, Float32Array]:
    _, height, width = picture.shape
    kept = np.empty((_KEPT_CHANNELS, height, width), np.float32)
    halved = np.empty((_KEPT_CHANNELS, height // 2, width // 2), np.float32)
    part = _part("down")
    for strip, seen in _strips(height):
        part.setInput(picture[None, :, seen])
        here, half = part.forward(["e0b_r", "p1"])
        kept[:, strip] = here[0][:, _inside(strip, seen)]
        halved[:, _half(strip)] = half[0][:, _half(_inside(strip, seen))]
    return kept, halved


def _up(kept: Float32Array, deep: Float32Array) -> Float32Array:
    _, height, width = kept.shape
    said = np.empty((_CHANNELS_OUT, height, width), np.float32)
    part = _part("up")
    for strip, seen in _strips(height):
        said[:, strip] = _run(part, d1b_r=deep[:, _half(seen)], e0b_r=kept[:, seen])[:, _inside(strip, seen)]
    return said


def _strips(height: int) -> Iterator[tuple[slice, slice]]:
    """Rows strip by strip, and those that the strip's depend on."""
    for first in range(0, height, _STRIP):
        last = min(height, first + _STRIP)
        yield slice(first, last), slice(max(0, first - _BESIDE), min(height, last + _BESIDE))


def _inside(strip: slice, seen: slice) -> slice:
    return slice(strip.start - seen.start, strip.stop - seen.start)


def _half(rows: slice) -> slice:
    return slice(rows.start // 2, rows.stop // 2)


def _run(part: cv2.dnn.Net, **given: Float32Array) -> Float32Array:
    for name, values in given.items():
        part.setInput(values[None], name)
    return np.asarray(part.forward()[0], np.float32)


def _part(name: str) -> cv2.dnn.Net:
    """Read anew each time, which takes a few milliseconds: one that is kept keeps the memory of its last picture."""
    return cv2.dnn.readNetFromONNX(str(calibration_folder() / "network" / f"{name}.onnx"))
