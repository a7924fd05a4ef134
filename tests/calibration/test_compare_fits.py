from dataclasses import replace

import numpy as np
import pytest

from calibration.compare_fits import PlateError, errors_table, lights_table, plates_table, table


def plate(sheet: str, light: str, error: tuple[float, float, float], de: float) -> PlateError:
    return PlateError(sheet=sheet, light=light, lab_error=np.array([error, error]), de=np.full(2, de))


def test_a_table_is_markdown_and_refuses_ragged_rows() -> None:
    assert table(["fit", "card"], {"one": ["1.0"], "two": ["2.0"]}) == (
        "| fit | card |\n| --- | --- |\n| one | 1.0 |\n| two | 2.0 |"
    )
    with pytest.raises(ValueError, match="'one' has 2 cells where the head has 1"):
        table(["fit", "card"], {"one": ["1.0", "2.0"]})


def test_errors_are_medians_and_percentiles_by_sheet() -> None:
    plates = [plate("card", "A", (1, 0, 0), 1.0), plate("card", "D65", (0, 0, 0), 3.0)]
    assert errors_table("step", {"one": plates}).splitlines()[-1] == "| one | 2.00 / 3.00 | - | - | - |"


def test_a_fit_s_patches_left_out_are_told_beside_its_fries() -> None:
    plates = [replace(plate("mat", "A", (1, 0, 0), 1.0), left_out=left_out) for left_out in ((0.4, 2.0), (0.6, 3.0))]
    assert errors_table("fit", {"one": plates}).splitlines()[-1] == "| one | 0.5 / 2.5 | - | 1.00 / 1.00 | - | - |"


def test_plate_means_keep_their_sign_and_each_light_has_its_row() -> None:
    plates = [plate("card", "A", (1, 0, -2), 1.0), plate("mat, inks", "D65, inks", (-1, 0, 0), 3.0)]
    assert "| one | +1.0 +0.0 -2.0 (2.2) | - | - | -1.0 +0.0 +0.0 (1.0) |" in plates_table("fit", {"one": plates})
    assert lights_table(plates).splitlines()[2:] == [
        "| A | 1 | 1.00 / 1.00 | +1.0 +0.0 -2.0 (2.2) |",
        "| D65, inks | 1 | 3.00 / 3.00 | -1.0 +0.0 +0.0 (1.0) |",
    ]
