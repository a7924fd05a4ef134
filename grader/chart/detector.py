"""Candidates for a chart from OpenCV's own detector of 24-patch charts."""

from collections.abc import Iterator

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray
from grader.card.homography import fit_homography
from grader.chart.model import PATCH_CENTRES, PATCHES

_AT_MOST = 3
"""Candidates looked at in one picture: the right one is not always the one that the detector likes best."""


def detected(picture: ByteArray) -> Iterator[FloatArray]:
    """Homographies (3, 3) from pitches to px of what may be a chart in a picture (h, w, 3), RGB, 8 bit."""
    detector = cv2.mcc.CCheckerDetector.create()
    detector.setColorChartType(cv2.mcc.MCC24)
    # OpenCV 5.0 reads blue first; given red first, it still finds charts, but lays them the wrong way round.
    if not detector.process(np.ascontiguousarray(picture[..., ::-1]), _AT_MOST):
        return
    for checker in detector.getListColorChecker():
        corners = np.asarray(checker.getColorCharts(), float).reshape(PATCHES, 4, 2)
        yield fit_homography(PATCH_CENTRES, corners.mean(axis=1))
