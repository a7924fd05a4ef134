"""A photo in: decoded, upright, in sRGB; is it sharp, is it exposed."""

from grader.photo.exposure import Exposure, exposure
from grader.photo.flash import find_flash
from grader.photo.model import Photo
from grader.photo.quality import check_fries_exposure, check_sharpness, check_sheet_exposure, check_without_card
from grader.photo.reading import read_photo
from grader.photo.sharpness import edge_blur_px, overall_blur
from grader.photo.srgb import linear_light, linear_to_srgb, srgb_to_linear

__all__ = [
    "Exposure",
    "Photo",
    "check_fries_exposure",
    "check_sharpness",
    "check_sheet_exposure",
    "check_without_card",
    "edge_blur_px",
    "exposure",
    "find_flash",
    "linear_light",
    "linear_to_srgb",
    "overall_blur",
    "read_photo",
    "srgb_to_linear",
]
