"""Dark ends that have lost a fry's colour, given back to the fry that they belong to.

A charred end can be as dark as a shadow and as grey as a plate, so no one threshold tells it from every plate. But it
begins where its fry turns dark, and runs on as wide and as straight as the fry does. So each dark end of a fry is
followed: how its last millimetres differ from the plate beside it tells where, in line with the fry, the plate begins.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from scipy import ndimage

from grader.arrays import Float32Array, FloatArray, IntArray, LabelArray, MaskArray
from grader.fries.browning import browning_steps
from grader.fries.view import MM_PER_PX, View

_LEAST_LENGTH_MM = 15.0
_DARK_FROM_STEPS, _DARKER_BY_STEPS = 4.6, 0.8
"""An end is followed where it browned so far, or so much further than the fry's middle, in its darkest quarter."""
_LAST_MM, _BACK_MM = 3.0, 6.0
"""How much of an end is asked how dark it is, and from how far back what it lost on one side is given back."""
_AIM_MM = 20.0
"""Which way an end points is told by so much of the fry."""
_LONGEST = 0.8
"""How far an end can go on, at most: share of the length that was left of the fry."""
_LEAST_LOST_MM2 = 9.0
"""Less than a millimetre of a fry's end is a blurred edge."""
_BLOCKED = 0.1
"""Where so much of the way is another fry, what is dark is the shadow between the two."""
_SLICE_MM = 0.6
_TIP_SLICE, _LAST_SLICES = round(_BACK_MM / _SLICE_MM), round(_LAST_MM / _SLICE_MM)
_BAND, _TO_THE_EDGE, _BESIDE = 0.4, 0.6, (0.8, 1.6)
"""Of the fry's width, to either side of its axis: where it goes on, and where the plate is seen beside it."""
_FILLED, _SPILT = 0.6, 0.5
"""A slice is fry where so much of the band is unlike the plate; if so much beside it is, it is a shadow or a hand."""
_SIDES, _SOFT_EDGE = (2.0, 98.0), 0.1
"""Percentiles across a slice: a stray pixel beyond doesn't move its sides. They lie so far (widths) outside where what
is smoothed last looks unlike the plate."""
_NARROWS_MM, _NARROWED = 8.0, 0.9
"""Over so many mm before it is lost, an end that narrows is on average less than this share of the fry's width."""
_SCRAP_MM2 = 45.0
"""As much as is too little for a fry (`finding`)."""
_LEAST_PIXELS, _LEAST_BESIDE = 25, 6
_SMOOTH_PX = 1.5
_LEAST_APART = 2.0
"""Standard deviations of the plate: what differs by less from it is not followed."""
_FULL = 0.75
"""Of the fry's width: so wide a slice of its label has lost nothing."""
_NOISE = 0.05
"""Natural log: the plate is never taken to be more even than this."""
_DARKEST = 4e-3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _End:
    """One end of a fry in the view: where, which way it points (unit, outward), how wide it and long the fry is, px.

    `narrows` where the fry gets narrower towards it, as a wedge does.
    """

    tip: FloatArray
    outward: FloatArray
    width: float
    length: float
    narrows: bool


def charred_ends(view: View, labels: IntArray) -> LabelArray:
    """(h, w) the number of the fry of which a lost end lies there, from its last whole millimetres on, 0 elsewhere.

    In the view's pixels, as are the labels (h, w). Of such an end the view's own outline is the better one: near its
    edge it has too little colour for the test that the photo's pixels are put to.
    """
    lightness = view.lightness
    free = _scraps(labels, MM_PER_PX**2)[labels] & ~view.barred
    ends = np.zeros(labels.shape, np.uint16)
    for number, box in enumerate(ndimage.find_objects(labels), start=1):
        if box is None:
            continue
        mask = labels[box] == number
        rows, columns = np.nonzero(mask)
        points = np.column_stack([columns, rows]).astype(float)
        corner = np.array([box[1].start, box[0].start], float)
        for end in _dark_ends(points + corner, browning_steps(lightness[box][mask].astype(float))):
            gone_on = _followed(end, view, free, labels, number)
            ends[gone_on] = number
            free[gone_on] = False
    return ends


def with_ends(labels: LabelArray, ends: LabelArray) -> LabelArray:
    """Labels (h, w) of the photo's own size with the ends found in the view added to their fries."""
    if not ends.any():
        return labels
    whole = labels.copy()
    size = labels.shape[1], labels.shape[0]
    scraps = _scraps(labels, MM_PER_PX**2 * ends.size / labels.size)
    for number in np.unique(ends[ends > 0]):
        part = np.asarray(ends == number, np.float32)
        shown = np.flatnonzero(cv2.resize(part, size, interpolation=cv2.INTER_LINEAR) > 0.5)
        np.put(whole, shown[scraps[labels.take(shown)]], number)
    return whole


def _scraps(labels: IntArray | LabelArray, px_mm2: float) -> MaskArray:
    """(n,) by number, what is no fry but a rest too small for one, as shows of an end that is lost; 0 counts as one."""
    numbers = int(labels.max(initial=0)) + 1
    # np.bincount would make eight bytes of each pixel's two first
    count = cv2.calcHist([labels.astype(np.uint16, copy=False)], [0], None, [numbers], [0, numbers])
    sizes_mm2 = count.ravel().astype(float) * px_mm2
    sizes_mm2[0] = 0.0
    return np.asarray(sizes_mm2 < _SCRAP_MM2)


def _features(xyz: Float32Array) -> FloatArray:
    """(k, 3) of smoothed XYZ (k, 3), what tells char from plate: how light, how red, how yellow, as logarithms."""
    light = np.log(np.maximum(xyz, _DARKEST))
    return np.asarray(light[:, [1, 0, 2]] - light[:, [1]] * np.array([0, 1, 1], np.float32), float)


def _dark_ends(points: FloatArray, browned: FloatArray) -> list[_End]:
    """Ends of one fry, of its pixels (n, 2) and their steps of browning (n,), that are dark."""
    if len(points) < _LEAST_PIXELS:
        return []
    along = (points - points.mean(axis=0)) @ _axis(points)
    slices = np.floor((along - along.min()) * MM_PER_PX / _SLICE_MM).astype(int)
    widths = np.bincount(slices) * MM_PER_PX / _SLICE_MM
    width = float(np.median(widths[widths > 0]))
    full = widths > _FULL * width
    middle = len(full) // 2
    if len(full) * _SLICE_MM < _LEAST_LENGTH_MM or not full[middle]:
        return []
    first, stop = _run_around(full, middle)
    quarter = (stop - first) / 4
    body = float(np.median(browned[np.abs(slices - (first + stop) / 2) < quarter]))
    ends = []
    back = round(_NARROWS_MM / _SLICE_MM)
    beside = widths[max(stop - back, 0) : stop], widths[first : first + back]
    for from_tip, before in zip((stop - slices - 0.5, slices - first + 0.5), beside, strict=True):
        from_tip_mm = from_tip * _SLICE_MM
        last = (from_tip_mm > 0) & (from_tip_mm < _LAST_MM)
        if np.percentile(browned[last], 75) < min(_DARK_FROM_STEPS, body + _DARKER_BY_STEPS):
            continue
        aimed = points[(from_tip_mm > 0) & (from_tip_mm < _AIM_MM)]
        centre, outward = aimed.mean(axis=0), _axis(aimed)
        outward = outward * np.sign((points[last].mean(axis=0) - centre) @ outward)
        reach = float(((aimed - centre) @ outward).max())
        ends.append(
            _End(
                tip=centre + reach * outward,
                outward=outward,
                width=width,
                length=float(np.ptp(along)),
                narrows=float(before.mean()) < _NARROWED * width,
            )
        )
    return ends


def _axis(points: FloatArray) -> FloatArray:
    """(2,) unit vector along the points' longest extent."""
    return np.asarray(np.linalg.eigh(np.cov((points - points.mean(axis=0)).T))[1][:, 1])


def _run_around(full: MaskArray, middle: int) -> tuple[int, int]:
    """First and past-the-last of the unbroken run that holds `middle`."""
    broken = np.flatnonzero(~full)
    before, behind = broken[broken < middle], broken[broken > middle]
    return int(before[-1]) + 1 if len(before) else 0, int(behind[0]) if len(behind) else len(full)


def _followed(end: _End, view: View, free: MaskArray, labels: IntArray, number: int) -> tuple[IntArray, IntArray]:
    """Rows and columns of the end's last part and of what it goes on over beyond; none where it ends as labelled."""
    rows, columns, along, across = _around(end, free.shape)
    box = np.s_[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]
    smooth = np.asarray(cv2.GaussianBlur(view.xyz[box], (0, 0), _SMOOTH_PX), np.float32)
    way = _Way(
        seen=_features(smooth[rows - rows.min(), columns - columns.min()]),
        slices=np.floor((along + _BACK_MM) / _SLICE_MM).astype(int),
        across=across,
        own=labels[rows, columns] == number,
        open=free[rows, columns],
        narrows=end.narrows,
    )
    chosen, stop = way.walked()
    gone_on = way.band & (way.slices >= _TIP_SLICE) & (way.slices < stop)
    endless = (stop - _TIP_SLICE) * _SLICE_MM >= _LONGEST * end.length * MM_PER_PX
    blocked = _mean(~(way.own | way.open)[gone_on]) > _BLOCKED
    if endless or blocked or chosen.sum() * MM_PER_PX**2 < _LEAST_LOST_MM2:
        return rows[:0], columns[:0]
    chosen |= way.own
    return rows[chosen], columns[chosen]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Way:
    """Pixels (k,) in line with a fry's end: features (k, 3), slice, widths off the axis, whose each is."""

    seen: FloatArray
    slices: IntArray
    across: FloatArray
    own: MaskArray
    open: MaskArray
    narrows: bool

    @property
    def band(self) -> MaskArray:
        """Where the fry goes on, if it does."""
        return np.abs(self.across) < _BAND

    def walked(self) -> tuple[MaskArray, int]:
        """(k,) which open pixels are fry, and the slice where it stops: slice by slice outward, each like those before.

        A char's colour fades as it goes on, so what it is held against goes with it. One slice may be missing.
        """
        band, beside = self.band, (np.abs(self.across) > _BESIDE[0]) & self.open
        fry = band & self.open & (self.slices < _TIP_SLICE)
        stop = _TIP_SLICE
        if min((band & self.own).sum(), beside.sum()) < _LEAST_PIXELS:
            return np.zeros_like(fry), stop
        plate = _Plate.of(self.seen[beside])
        for here in range(_TIP_SLICE, int(self.slices.max()) + 1):
            before = band & (self.slices >= stop - _LAST_SLICES) & (self.slices < stop) & (self.own | fry)
            now = np.flatnonzero(self.slices == here)
            free = (self.own | self.open)[now]
            if _mean(~free[band[now]]) > 0.5:
                break
            unlike = plate.unlike(self.seen[now], self.seen[before])
            filled = _mean(unlike[band[now] & free])
            spilt = _mean(unlike[beside[now]]) if beside[now].sum() >= _LEAST_BESIDE else 0.0
            if filled >= _FILLED and spilt < _SPILT:
                stop = here + 1
            elif here > stop:
                break
            unlike &= np.abs(self.across[now]) < _TO_THE_EDGE
            inside = _between(unlike, self.across[now]) if self.narrows else True
            fry[now] |= self.open[now] & (unlike | (band[now] & inside))
        return fry & (self.slices < stop), stop


def _around(end: _End, shape: tuple[int, ...]) -> tuple[IntArray, IntArray, FloatArray, FloatArray]:
    """Pixels near the axis that runs on from an end: rows, columns, mm along it from the tip, widths across it."""
    far = _LONGEST * end.length + _BACK_MM / MM_PER_PX
    side = np.array([-end.outward[1], end.outward[0]])
    start = end.tip - end.outward * _BACK_MM / MM_PER_PX
    corners = np.array([start + a * far * end.outward + b * end.width * side for a in (0, 1) for b in (-2, 2)])
    left, top = np.clip(np.floor(corners.min(axis=0)), 0, None).astype(int)
    right, bottom = np.ceil(corners.max(axis=0)).astype(int) + 1
    rows, columns = np.ogrid[top : min(bottom, shape[0]), left : min(right, shape[1])]
    x, y = columns - end.tip[0], rows - end.tip[1]
    along = (x * end.outward[0] + y * end.outward[1]) * MM_PER_PX
    across = (x * side[0] + y * side[1]) / end.width
    near = (along > -_BACK_MM) & (along < _LONGEST * end.length * MM_PER_PX + _BACK_MM) & (np.abs(across) < _BESIDE[1])
    down, right_of = np.nonzero(near)
    return down + top, right_of + left, along[near], across[near]


def _between(unlike: MaskArray, across: FloatArray) -> MaskArray:
    """(k,) of a slice, what lies between the two sides of what is unlike the plate: a tip is narrower than its fry."""
    if not unlike.any():
        return unlike
    low, high = np.percentile(across[unlike], _SIDES)
    return np.asarray((across >= low - _SOFT_EDGE) & (across <= high + _SOFT_EDGE))


def _mean(which: MaskArray) -> float:
    return float(which.mean()) if len(which) else 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Plate:
    """How the plate looks beside an end: (3,) and (3, 3) inverse scatter of its features, shadows and all."""

    centre: FloatArray
    weight: FloatArray

    @staticmethod
    def of(seen: FloatArray) -> "_Plate":
        """Of pixels (n, 3)."""
        centre = np.median(seen, axis=0)
        return _Plate(
            centre=centre, weight=np.asarray(np.linalg.inv(np.cov((seen - centre).T) + _NOISE**2 * np.eye(3)), float)
        )

    def unlike(self, seen: FloatArray, fry: FloatArray) -> MaskArray:
        """(k,) True on the side of half way to the fry (n, 3); nowhere if that can't be told from the plate.

        Fisher's linear discriminant with the plate's scatter: where shadows lie on it, how light it is tells little.
        """
        step = np.median(fry, axis=0) - self.centre if len(fry) else np.zeros(3)
        way = self.weight @ step
        if way @ step < _LEAST_APART**2:
            return np.zeros(len(seen), bool)
        return np.asarray((seen - self.centre) @ way > 0.5 * float(way @ step))
