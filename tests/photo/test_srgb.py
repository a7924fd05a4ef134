from typing import Any

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.color import rgb2xyz

from grader.photo import linear_light, linear_to_srgb, srgb_to_linear
from grader.photo.srgb import log_light

# IEC 61966-2-1: 8-bit levels and their linear light, as colour-science 0.4.7 gives them.
PUBLISHED = {10: 0.00303527, 11: 0.00334654, 64: 0.05126946, 118: 0.18116424, 128: 0.21586050, 188: 0.50288646}
ROUNDING = 5e-9


@pytest.mark.parametrize(("level", "linear"), PUBLISHED.items())
def test_decoding_agrees_with_published_values(level: int, linear: float) -> None:
    assert float(srgb_to_linear(level / 255)) == pytest.approx(linear, abs=ROUNDING)
    assert linear_light(np.array([level], np.uint8))[0] == pytest.approx(linear, abs=5e-8)


def test_encoding_agrees_with_the_published_value_of_mid_grey() -> None:
    assert float(linear_to_srgb(0.18)) == pytest.approx(0.4613561, abs=5e-8)


def test_all_levels_agree_with_colour_science() -> None:
    encoded = np.arange(256) / 255
    np.testing.assert_allclose(srgb_to_linear(encoded), colour.models.eotf_sRGB(encoded), atol=1e-12)
    np.testing.assert_allclose(linear_to_srgb(encoded), colour.models.eotf_inverse_sRGB(encoded), atol=1e-12)


def test_all_greys_agree_with_scikit_image() -> None:
    greys = np.repeat(np.arange(256, dtype=np.uint8)[:, None], 3, axis=1)
    luminance = rgb2xyz(greys[None])[0, :, 1]
    np.testing.assert_allclose(linear_light(greys)[:, 0], luminance, atol=2e-6)


@given(st.floats(-0.1, 1.1))
def test_encoding_undoes_decoding(value: float) -> None:
    # The standard's two knees are rounded: right at them the parts miss each other by a few 1e-8.
    assert float(linear_to_srgb(srgb_to_linear(value))) == pytest.approx(value, abs=1e-6)


@pytest.mark.parametrize("shape", [(7,), (4, 5, 3), ()])
def test_linear_light_keeps_the_shape_and_both_depths_agree(shape: tuple[int, ...]) -> None:
    eight = np.random.default_rng(1).integers(0, 256, shape).astype(np.uint8)
    sixteen = (eight.astype(np.uint16) * 257).astype(np.uint16)
    assert linear_light(eight).shape == shape
    assert linear_light(eight).dtype == np.float32
    np.testing.assert_array_equal(linear_light(eight), linear_light(sixteen))


def test_linear_light_refuses_floats() -> None:
    with pytest.raises(TypeError, match="must be uint8 or uint16, got float64"):
        linear_light(np.zeros(3))  # type: ignore[arg-type]


@pytest.mark.parametrize("kind", [np.uint8, np.uint16])
def test_log_light_is_the_log_of_light(kind: Any) -> None:
    pixels = np.linspace(0, np.iinfo(kind).max, 60).astype(kind).reshape(5, 4, 3)
    np.testing.assert_array_equal(log_light(pixels, darkest=0.01), np.log(linear_light(pixels).astype(float) + 0.01))
