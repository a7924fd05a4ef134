"""How far neighbouring steps lie apart, held against the method's own doubt and the house's own scatter."""

import numpy as np
from scipy.special import ndtr

from grader.arrays import FloatArray, IntArray
from grader.colour.difference import ciede2000
from grader.scale_fit.model import Separation, StepPlate


def separations(
    plates: tuple[StepPlate, ...], names: tuple[str, ...], step: IntArray, anchors: FloatArray
) -> tuple[Separation, ...]:
    """One for each pair of neighbours; `anchors` is (steps, 3), neighbours not the same."""
    return tuple(
        _between(
            [plate for plate, at in zip(plates, step, strict=True) if at in (paler, paler + 1)],
            (names[paler], names[paler + 1]),
            anchors[paler],
            anchors[paler + 1],
        )
        for paler in range(len(names) - 1)
    )


def _between(plates: list[StepPlate], names: tuple[str, str], paler: FloatArray, darker: FloatArray) -> Separation:
    way = darker - paler
    slope = way / (way @ way)  # place by L*, a*, b*, as on the scale itself
    method_u = float(np.sqrt(np.mean([_method_variance(plate, slope) for plate in plates])))
    off = [(plate.mean_lab - (paler if plate.step == names[0] else darker)) @ slope for plate in plates]
    plates_sd = float(np.sqrt(np.sum(np.square(off)) / (len(off) - 2)))
    return Separation(
        paler=names[0],
        darker=names[1],
        apart_de=float(ciede2000(paler, darker)),
        method_u=method_u,
        plates_sd=plates_sd,
        wrong_by_method=_wrong(method_u),
        wrong_with_plates=_wrong(float(np.hypot(method_u, plates_sd))),
    )


def _method_variance(plate: StepPlate, slope: FloatArray) -> float:
    """What the photo shares counts in full; what is each fry's own averages out."""
    shared = plate.shared @ slope
    own = np.sum((plate.own_u * slope) ** 2) / len(plate.lab) ** 2
    return float(shared @ shared + own)


def _wrong(u: float) -> float:
    """Normal: beyond half of the way."""
    return float(ndtr(-0.5 / u)) if u > 0 else 0.0
