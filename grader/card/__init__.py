"""The printed card or mat: its layouts, finding it in a photo, the camera's pose, and what its patches read."""

from grader.card.condition import check_readings
from grader.card.finding import find_sheet, find_sheets
from grader.card.layouts import load_layouts, read_layout
from grader.card.plane import pixels_to_sheet, px_per_mm, sheet_to_pixels, tag_squares_px
from grader.card.pose import camera_height_mm, estimate_camera, focal_px, foot_mm, tilt_deg, to_pixels, to_plane
from grader.card.printing import draw_sheet_pdf, draw_sheet_png
from grader.card.reading import read_patches
from grader.card.serial import Serial, parse_serial, read_serial

__all__ = [
    "Serial",
    "camera_height_mm",
    "check_readings",
    "draw_sheet_pdf",
    "draw_sheet_png",
    "estimate_camera",
    "find_sheet",
    "find_sheets",
    "focal_px",
    "foot_mm",
    "load_layouts",
    "parse_serial",
    "pixels_to_sheet",
    "px_per_mm",
    "read_layout",
    "read_patches",
    "read_serial",
    "sheet_to_pixels",
    "tag_squares_px",
    "tilt_deg",
    "to_pixels",
    "to_plane",
]
