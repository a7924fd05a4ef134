"""The printed card or mat: its layouts, finding it in a photo, the camera's pose, and what its patches read.

Drawing one has a door of its own, `printing`: who only reads photos needn't wait for a library that writes PDF.
"""

from grader.card.condition import check_readings
from grader.card.finding import find_sheet, find_sheets
from grader.card.imprint import Imprint, imprint_run
from grader.card.layouts import load_layouts, read_layout
from grader.card.papers import chosen_paper, papers_for, plan_page, usual_count
from grader.card.plane import pixels_to_sheet, px_per_mm, sheet_to_pixels, tag_squares_px
from grader.card.pose import camera_height_mm, estimate_camera, focal_px, foot_mm, tilt_deg, to_pixels, to_plane
from grader.card.reading import read_patches
from grader.card.serial import Serial, draw_run, parse_serial, read_serial

__all__ = [
    "Imprint",
    "Serial",
    "camera_height_mm",
    "check_readings",
    "chosen_paper",
    "draw_run",
    "estimate_camera",
    "find_sheet",
    "find_sheets",
    "focal_px",
    "foot_mm",
    "imprint_run",
    "load_layouts",
    "papers_for",
    "parse_serial",
    "pixels_to_sheet",
    "plan_page",
    "px_per_mm",
    "read_layout",
    "read_patches",
    "read_serial",
    "sheet_to_pixels",
    "tag_squares_px",
    "tilt_deg",
    "to_pixels",
    "to_plane",
    "usual_count",
]
