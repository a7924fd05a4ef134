"""A photo taken with flash: measured, and told so."""

from grader.errors import Finding
from grader.photo.model import Photo


def find_flash(photo: Photo) -> Finding | None:
    """A warning where the file says that the flash fired.

    A flash is a second light of another colour, as near as the camera: it falls off steeply from card to plate and
    mirrors in oil. Card and fries still show what that did, so it is judged by them and not by the flash.
    """
    if not photo.flash_fired:
        return None
    return Finding(
        code="flash",
        message="The flash fired: it shines in the oil, and lights card and fries unlike the room does.",
        hint="Switch the flash off, step to a window or under the lamps, and take it again.",
    )
