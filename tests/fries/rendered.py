"""The reduced picture of a small rendered plate, and which fry each of its pixels shows in truth."""

from functools import cache
from pathlib import Path

import cv2
import numpy as np

from grader.arrays import IntArray
from grader.card import find_sheet, load_layouts, read_patches
from grader.colour import plain_matrix
from grader.fries.view import View, look
from grader.photo import read_photo

PLATES, BOARDS = Path(__file__).parent.parent / "plates", Path(__file__).parent / "boards"


@cache
def rendered(name: str, folder: Path = PLATES) -> tuple[View, IntArray]:
    """Of NAME.jpg in a folder."""
    photo = read_photo((folder / f"{name}.jpg").read_bytes(), name=name)
    sheet = find_sheet(photo.pixels, load_layouts(), focal_35mm=photo.focal_35mm)
    lab = np.array([patch.lab for patch in sheet.layout.patches])
    view = look(photo.pixels, sheet, plain_matrix(read_patches(photo.pixels, sheet).patch_rgb, lab))
    mask = np.asarray(cv2.imread(str(folder / f"{name}.mask.png"), cv2.IMREAD_UNCHANGED), np.uint16)
    truth = cv2.resize(mask, view.barred.shape[::-1], interpolation=cv2.INTER_NEAREST)
    return view, np.asarray(truth, np.int64)
