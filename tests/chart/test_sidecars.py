import numpy as np
import pytest

from grader.chart.own_values import read_own_values
from grader.chart.sidecars import read_corners, read_patch_means
from grader.colour import lab_d50_to_d65
from grader.errors import DocumentFaulty
from grader.photo import srgb_to_linear


def means(scale: float, *, rows: int = 24, header: str = "number,r,g,b") -> bytes:
    lines = [f"{n},{0.2 * scale:.6f},{n / 30 * scale:.6f},{0.5 * scale:.6f}" for n in range(1, rows + 1)]
    return "\n".join([header, *lines]).encode()


def test_corners() -> None:
    corners = read_corners(b'{"corners_px": [[1, 2], [3, 4], [5, 6.5], [7, 8]]}', name="a.corners.json")
    np.testing.assert_array_equal(corners, [[1, 2], [3, 4], [5, 6.5], [7, 8]])


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"[]",
        b'{"corners": []}',
        b'{"corners_px": [[1, 2], [3, 4]]}',
        b'{"corners_px": [[1, 2], [3, 4], [5, 6], [7, "x"]]}',
        b'{"corners_px": [[1, 2], [3, 4], [5, 6], [7, NaN]]}',
        b"[" * 100_000,
        b"\xff\xfe",
    ],
)
def test_faulty_corners(data: bytes) -> None:
    with pytest.raises(DocumentFaulty, match="corners") as told:
        read_corners(data, name="a.corners.json")
    assert "outer corners" in told.value.hint


@pytest.mark.parametrize("scale", [1, 255, 65535])
@pytest.mark.parametrize("linear", [True, False])
def test_patch_means_on_any_scale(scale: float, *, linear: bool) -> None:
    readings = read_patch_means(means(scale), name="a.csv", linear=linear)
    share = np.stack([np.full(24, 0.2), np.arange(1, 25) / 30, np.full(24, 0.5)], -1)
    np.testing.assert_allclose(readings.rgb, share if linear else srgb_to_linear(share), atol=1e-6)
    assert readings.usable.all()
    assert (readings.rgb_u > 0).all()


def test_patches_without_a_row_or_at_the_end_of_the_range_are_left_out() -> None:
    data = means(255, rows=22).replace(b"22,51.000000", b"22,255") + b"\n"
    readings = read_patch_means(data, name="a.csv", linear=True)
    assert set(np.flatnonzero(~readings.usable) + 1) == {22, 23, 24}
    assert set(np.flatnonzero(readings.clipped) + 1) == {22}
    assert np.isfinite(readings.rgb).all()


def test_a_patch_given_twice_is_told() -> None:
    with pytest.raises(DocumentFaulty, match="patch 7 a second time"):
        read_patch_means(means(255) + b"\n7,20,30,40", name="a.csv", linear=True)


def test_numbers_with_a_comma() -> None:
    data = means(1).replace(b",", b";").replace(b".", b",")
    np.testing.assert_allclose(read_patch_means(data, name="a.csv", linear=True).rgb[:, 0], 0.2)


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (means(1, header="patch,r,g,b"), "no columns"),
        (means(1, header="number,x,y,z"), "no columns"),
        (means(1).replace(b"\n3,", b"\n33,"), "no patch from 1 to 24"),
        (means(1).replace(b"0.200000", b"much", 1), "'much' where a number belongs"),
        (means(1).replace(b"0.200000", b"-0.2", 1), "0 or more"),
        (means(1e6), "0 or more"),
        (b"number,r,g,b\n", "0 or more"),
    ],
)
def test_faulty_patch_means(data: bytes, told: str) -> None:
    with pytest.raises(DocumentFaulty, match=told):
        read_patch_means(data, name="a.csv", linear=False)


def test_own_values_for_d50_are_adapted() -> None:
    lab = np.column_stack([np.linspace(20, 95, 24), np.linspace(-30, 30, 24), np.linspace(40, -40, 24)])
    rows = [f"{n},{L:.4f},{a:.4f},{b:.4f}" for n, (L, a, b) in enumerate(lab, 1)]
    data = "\n".join(["number,L,a,b", *rows]).encode()
    values = read_own_values(data, name="own.csv", white="D50")
    np.testing.assert_allclose(values.patch_lab, lab_d50_to_d65(lab), atol=1e-3)
    assert (values.edition, values.name) == ("own", "24-patch chart, own values (own.csv)")
    np.testing.assert_allclose(read_own_values(data, name="own.csv", white="D65").patch_lab, lab, atol=1e-3)
    with pytest.raises(DocumentFaulty, match="say D50"):
        read_own_values(data, name="own.csv", white=None)
    with pytest.raises(DocumentFaulty, match="no reading of 24"):
        read_own_values("\n".join(["number,L,a,b", *rows[:-1]]).encode(), name="own.csv", white="D50")


def test_own_values_as_cgats_text() -> None:
    rows = "\n".join(f"{n} {20 + 3 * n} 1 2" for n in range(1, 25))
    text = f"BEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n{rows}\nEND_DATA\n"
    values = read_own_values(text.encode(), name="own.txt", white="D65")
    np.testing.assert_allclose(values.patch_lab[:, 0], 20 + 3 * np.arange(1, 25))
