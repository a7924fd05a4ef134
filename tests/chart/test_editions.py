"""Values of charts against colour-science and a table read in a published source."""

from pathlib import Path

import numpy as np
import pytest

from grader.chart import DEFAULT_EDITION, chart_values, load_editions
from grader.chart.editions import UnknownEdition, _read, _xyy_to_xyz
from grader.colour import D50, ciede2000, lab_d50_to_d65, xyz_to_lab
from grader.places import calibration_folder
from tests.card_values.reference import colour

LIBRARY = {
    "1976": "ColorChecker 1976",
    "2005": "ColorChecker 2005",
    "before-november-2014": "ColorChecker24 - Before November 2014",
    "after-november-2014": "ColorChecker24 - After November 2014",
}
# The maker's table, L*, a*, b* for D50 and 2 degrees, charts made from November 2014 on (published 2016).
AFTER_NOVEMBER_2014 = """
37.54 14.37 14.92  64.66 19.27 17.50  49.32 -3.82 -22.54  43.46 -12.74 22.72  54.94 9.61 -24.79  70.48 -32.26 -0.37
62.73 35.83 56.50  39.43 10.75 -45.17  50.57 48.64 16.67  30.10 22.54 -20.87  71.77 -24.13 58.19  71.51 18.24 67.37
28.37 15.42 -49.80  54.38 -39.72 32.27  42.43 51.05 28.62  81.80 2.67 80.41  50.63 51.28 -14.12  49.57 -29.71 -28.32
95.19 -1.03 2.93  81.29 -0.57 0.44  66.89 -0.75 -0.06  50.76 -0.13 0.14  35.63 -0.46 -0.48  20.64 0.07 -0.46
"""


@pytest.mark.parametrize(("edition", "key"), LIBRARY.items())
def test_every_row_is_that_of_the_library(edition: str, key: str) -> None:
    chart = colour.CCS_COLOURCHECKERS[key]
    xyz = colour.xyY_to_XYZ(np.array(list(chart.data.values())))
    white = colour.xy_to_XYZ(chart.illuminant)
    daylight = colour.xy_to_XYZ(colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"])
    adapted = colour.adaptation.chromatic_adaptation_VonKries(xyz, white, daylight, transform="Bradford")
    expected = colour.XYZ_to_Lab(adapted, colour.XYZ_to_xy(daylight))
    np.testing.assert_allclose(chart_values(edition).patch_lab, expected, atol=0.02)


def test_the_shipped_rows_are_four() -> None:
    assert set(load_editions()) == set(LIBRARY)
    assert DEFAULT_EDITION in LIBRARY
    assert all(str(one.name).startswith("24-patch chart, values") for one in load_editions().values())


def test_the_newest_edition_is_the_makers_table() -> None:
    published = np.array(AFTER_NOVEMBER_2014.split(), float).reshape(24, 3)
    np.testing.assert_allclose(chart_values("after-november-2014").patch_lab, lab_d50_to_d65(published), atol=0.03)


def test_editions_differ_by_as_much_as_is_known() -> None:
    """0.85 on the mean and 1.95 at most between charts before and after November 2014, by their D50 values."""
    before, after = (
        np.array(list(colour.CCS_COLOURCHECKERS[LIBRARY[edition]].data.values()))
        for edition in ("before-november-2014", "after-november-2014")
    )
    de = ciede2000(*(xyz_to_lab(_xyy_to_xyz(values), D50) for values in (before, after)))
    assert (de.mean(), de.max()) == (pytest.approx(0.85, abs=0.01), pytest.approx(1.95, abs=0.01))
    ours = ciede2000(chart_values("before-november-2014").patch_lab, chart_values("after-november-2014").patch_lab)
    assert ours.mean() == pytest.approx(de.mean(), abs=0.02)  # adapted to D65 they lie a little otherwise to each other


def test_an_unknown_edition_names_those_there_are() -> None:
    with pytest.raises(UnknownEdition, match="edition 1999") as told:
        chart_values("1999")
    assert all(edition in told.value.hint for edition in LIBRARY)


def test_a_file_that_lacks_a_patch_is_no_edition(tmp_path: Path) -> None:
    text = (calibration_folder() / "charts" / "1976.toml").read_text(encoding="utf-8")
    broken = tmp_path / "1976.toml"
    broken.write_text(text.replace("number = 7,", "number = 8,"), encoding="utf-8")
    with pytest.raises(ValueError, match="patches 1 to 24"):
        _read(broken)
