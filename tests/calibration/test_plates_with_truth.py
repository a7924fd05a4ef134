from pathlib import Path

import numpy as np
import pytest

from calibration.plates_with_truth import flesh_samples, read_plates
from grader.colour import ciede2000, fit_sheet_colour, flesh_lab, plate_shine


def test_a_sample_plate_is_read_with_its_truth_and_its_fries_come_out_near_it(samples: Path) -> None:
    (plate,) = read_plates([samples / "mat"])
    assert (plate.name, plate.on_mat, plate.inks) == ("mat-touching", True, True)
    colour = fit_sheet_colour(plate.samples)
    flesh = flesh_samples(plate, colour)
    shine = plate_shine(flesh, colour.correction)
    lab = flesh_lab(np.array([sample.top_xyz for sample in flesh]), shine, colour)
    assert np.median(ciede2000(lab, plate.true_lab)[plate.plain]) < 2.0
    # Lit unevenly by its lamp: taken for even the fries' levels scatter otherwise.
    even = flesh_samples(plate, colour, lit_evenly=True)
    assert not np.allclose([one.top_xyz for one in even], [one.top_xyz for one in flesh], rtol=0.01)


def test_heaps_are_left_out_and_a_folder_without_truth_is_refused(samples: Path, tmp_path: Path) -> None:
    assert list(read_plates([samples / "heap"])) == []
    with pytest.raises(ValueError, match="no plate with truth"):
        list(read_plates([tmp_path]))
