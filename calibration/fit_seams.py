"""Fits how likely a cut between two pieces is a seam between two fries, from plates with known truth.

Run: python calibration/fit_seams.py PHOTO...   (each NAME.jpg with its NAME.mask.png beside it or in truth/; no heaps,
whose fries lie on each other and not beside each other)
Prints the four constants of grader/fries/seams.py, and the share of right answers on plates left out of the fit.
"""

import sys
from pathlib import Path
from textwrap import wrap

import cv2
import numpy as np
from sklearn.linear_model import LogisticRegression
from sklearn.model_selection import GroupKFold, cross_val_predict

from grader.arrays import FloatArray, IntArray, MaskArray
from grader.card import find_sheet, load_layouts, read_patches
from grader.colour import plain_matrix
from grader.errors import PhotoRefused
from grader.fries.foreground import find_foreground
from grader.fries.pieces import seam_signs
from grader.fries.seams import as_usual
from grader.fries.sight import see
from grader.fries.view import look
from grader.fries.yellow import yellow_fries
from grader.photo import read_photo

_LEAST_LENGTH_PX = 4
_CUT_MM = 9.5


def main(photos: list[Path]) -> None:
    """Collect the cuts of every plate, fit, print."""
    signs, seam, plate = [], [], []
    for photo in sorted(photos):
        found = _cuts(photo)
        if found is None:
            continue
        signs.append(found[0])
        seam.append(found[1])
        plate.append(np.full(len(found[1]), len(plate)))
    x, y, groups = np.concatenate(signs), np.concatenate(seam), np.concatenate(plate)
    mean, spread = x.mean(axis=0), x.std(axis=0)
    terms = as_usual(x, mean, spread)
    model = LogisticRegression(max_iter=5000)
    guess = cross_val_predict(model, terms, y, groups=groups, cv=GroupKFold(8))
    model.fit(terms, y)
    print(f"# {len(y)} cuts on {len(signs)} plates, {(guess == y).mean():.1%} right on plates left out")
    for name, values in (("_MEAN", mean), ("_SPREAD", spread), ("_WEIGHT", model.coef_[0])):
        rows = "\n".join(wrap(" ".join(f"{value:.4g}" for value in values), 110))
        print(f'{name} = _numbers("""\n{rows}\n""")')
    print(f"_BIAS = {model.intercept_[0]:.4f}")


def _cuts(photo_file: Path) -> tuple[FloatArray, MaskArray] | None:
    """The signs of each cut of a plate and whether it is a seam; None where the plate can't be read."""
    photo = read_photo(photo_file.read_bytes(), name=photo_file.name)
    try:
        sheet = find_sheet(photo.pixels, load_layouts(), focal_35mm=photo.focal_35mm)
    except PhotoRefused:
        return None
    readings = read_patches(photo.pixels, sheet)
    lab = np.array([patch.lab for patch in sheet.layout.patches])
    view = look(photo.pixels, sheet, plain_matrix(readings.patch_rgb, lab))
    yellow = yellow_fries(view)
    sight = see(view, yellow)
    foreground = find_foreground(view, sight, yellow, cut_width_mm=_CUT_MM)
    labels, cuts, signs, length = seam_signs(view, sight, foreground.fries)
    if len(cuts) == 0:
        return None
    beside = photo_file.with_suffix(".mask.png")
    mask_file = beside if beside.exists() else photo_file.parent / "truth" / beside.name
    mask = cv2.imread(str(mask_file), cv2.IMREAD_UNCHANGED)
    truth = cv2.resize(mask, labels.shape[::-1], interpolation=cv2.INTER_NEAREST).astype(np.int64)
    owner = _owners(labels, truth)[cuts]
    sure = (owner > 0).all(axis=1) & (length >= _LEAST_LENGTH_PX)
    return signs[sure], owner[sure, 0] != owner[sure, 1]


def _owners(labels: IntArray, truth: IntArray) -> IntArray:
    """For each piece, the fry that most of it belongs to; 0 where that is none."""
    wide = int(labels.max()) + 1
    shared = np.bincount(truth.ravel() * wide + labels.ravel(), minlength=(int(truth.max()) + 1) * wide)
    return np.asarray(shared.reshape(-1, wide).argmax(axis=0))


if __name__ == "__main__":
    main([Path(name) for name in sys.argv[1:]])
