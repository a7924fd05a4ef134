import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from grader.fries.frame import Frame, arc_length

# A fry of 90 mm that sags by 10 mm in its middle: 10 / 45**2 = 0.005 is as bent as fries come.
CURVES = st.floats(-0.005, 0.005)
SLOPES = st.floats(-0.3, 0.3)
PLACES = st.floats(-60, 60, allow_subnormal=False).map(lambda x: x if abs(x) > 1e-6 else 0.0)
"""No shorter arcs: quadrature complains of rounding there."""


def frame(curve: float, slope: float, *, turned: float = 0.4, start: float = -40.0) -> Frame:
    c, s = np.cos(turned), np.sin(turned)
    return Frame(
        origin=np.array([31.0, -12.0]),
        axes=np.array([[c, s], [-s, c]]),
        bend=np.array([curve, slope, 2.0]),
        start=start,
    )


@given(curve=CURVES, slope=SLOPES, x=PLACES)
def test_arc_length_is_the_integral_along_the_parabola(curve: float, slope: float, x: float) -> None:
    expected, _ = quad(lambda t: np.sqrt(1 + (2 * curve * t + slope) ** 2), 0, x)
    assert float(arc_length(np.array([curve, slope, 2.0]), np.array(x))) == pytest.approx(expected, abs=1e-4)


@given(slope=SLOPES, x=PLACES)
def test_arc_length_goes_over_smoothly_into_the_straight_lines(slope: float, x: float) -> None:
    lengths = [float(arc_length(np.array([curve, slope, 0.0]), np.array(x))) for curve in (0.0, 5e-8, 2e-7, 1e-6)]
    np.testing.assert_allclose(lengths, x * np.hypot(1, slope), atol=2e-3)


@given(curve=CURVES, slope=SLOPES, along=st.floats(0, 80), across=st.floats(-6, 6))
def test_place_and_along_across_undo_each_other(curve: float, slope: float, along: float, across: float) -> None:
    one = frame(curve, slope)
    point = one.place(np.array([along]), np.array([across]))
    back_along, back_across = one.along_across(point)
    # Across a bend the foot is found in one step; on the centreline itself it is exact.
    tolerance = 0.01 + 5 * abs(curve * across)
    assert back_along[0] == pytest.approx(along, abs=tolerance)
    assert back_across[0] == pytest.approx(across, abs=tolerance)


@given(curve=CURVES, slope=SLOPES)
def test_points_placed_evenly_along_lie_evenly_along(curve: float, slope: float) -> None:
    points = frame(curve, slope).place(np.linspace(0, 80, 401), np.zeros(401))
    np.testing.assert_allclose(np.linalg.norm(np.diff(points, axis=0), axis=1), 0.2, atol=2e-3)


@given(turned=st.floats(-3, 3), across=st.floats(0.5, 6))
def test_across_is_at_right_angles_to_along(turned: float, across: float) -> None:
    one = frame(0.003, 0.1, turned=turned)
    along = np.array([10.0, 40.0, 70.0])
    middle, side = one.place(along, np.zeros(3)), one.place(along, np.full(3, across))
    direction = one.place(along + 0.5, np.zeros(3)) - one.place(along - 0.5, np.zeros(3))
    np.testing.assert_allclose(np.linalg.norm(side - middle, axis=1), across, atol=1e-6)
    np.testing.assert_allclose(((side - middle) * direction).sum(axis=1), 0, atol=0.02 * across)
