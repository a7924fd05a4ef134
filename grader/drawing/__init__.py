"""Pictures for people: the photo with what was found drawn into it."""

from grader.drawing.fry_picture import draw_fry
from grader.drawing.mend_picture import MendPicture, draw_for_mending
from grader.drawing.outline_picture import draw_outlines
from grader.drawing.plate_picture import draw_plate, picture_jpeg
from grader.drawing.why import Why, why_marked

__all__ = [
    "MendPicture",
    "Why",
    "draw_for_mending",
    "draw_fry",
    "draw_outlines",
    "draw_plate",
    "picture_jpeg",
    "why_marked",
]
