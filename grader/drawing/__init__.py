"""Pictures for people: the photo with what was found drawn into it."""

from grader.drawing.plate_picture import draw_plate, picture_jpeg

__all__ = ["draw_plate", "picture_jpeg"]
