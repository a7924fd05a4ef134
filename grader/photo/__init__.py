"""A photo in: decoded, upright, in sRGB; is it sharp, is it exposed."""

from grader.photo.model import Photo
from grader.photo.reading import read_photo
from grader.photo.srgb import linear_light, linear_to_srgb, srgb_to_linear

__all__ = ["Photo", "linear_light", "linear_to_srgb", "read_photo", "srgb_to_linear"]
