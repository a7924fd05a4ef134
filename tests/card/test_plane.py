"""The lens's radial term from a sheet's tags, and how sure that is, on corners made up by a pinhole of our own."""

import numpy as np
import pytest

from grader.card.plane import fit_plane
from grader.card.tags import tag_corners_mm
from tests.card.scenes import Pinhole, layout_of

SIZE = (4000, 3000)
NOISE_PX = 0.15
"""Well over what the fit takes corners to be off by at least."""


def stated_errors(key: str, *, off_mm: tuple[float, float], tries: int = 60) -> tuple[np.ndarray, np.ndarray]:
    """(tries,) the radial term's errors and its stated uncertainties; lenses, poses and noise drawn anew each time."""
    layout = layout_of(key)
    rng = np.random.default_rng(8)
    tags_mm = np.stack([tag_corners_mm(layout, tag) for tag in layout.tags])
    errors, stated = [], []
    for _ in range(tries):
        k1, tilt, towards = rng.normal(0, 0.012), rng.uniform(0, 12), rng.uniform(0, 360)
        seen_by = Pinhole.over(layout, tilt_deg=tilt, towards_deg=towards, off_mm=off_mm, size=SIZE, k1=k1)
        tags_px = seen_by.flat_px(tags_mm.reshape(-1, 2)).reshape(tags_mm.shape)
        fit = fit_plane(tags_mm, tags_px + rng.normal(0, NOISE_PX, tags_px.shape), SIZE)
        errors.append(fit.radial - k1)
        stated.append(fit.radial_u)
    return np.array(errors), np.array(stated)


@pytest.mark.parametrize(("key", "off_mm"), [("card-a6", (90.0, 10.0)), ("mat-a4", (0.0, 0.0))])
def test_the_radial_term_is_as_sure_as_stated(key: str, off_mm: tuple[float, float]) -> None:
    errors, stated = stated_errors(key, off_mm=off_mm)
    assert 0.7 < np.sqrt(np.mean((errors / stated) ** 2)) < 1.3
