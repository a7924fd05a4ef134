"""Why a file can't be used, in a cook's words, and what to do: one table, so that every decoder refuses alike."""

from typing import Literal

from grader.errors import PhotoUnreadable

MAX_BYTES = 60_000_000
"""A 50 megapixel phone JPEG has about 25 MB; a 20 megapixel 16-bit PNG about 60."""

MAX_PIXELS = 80_000_000
"""Decoded and turned upright, so many pixels take about 0.8 GB; 12 million show a fry a few hundred pixels long."""

LONGEST_TO_SHORTEST = 4
"""Phones take 4 : 3 to 20 : 9; a strip longer than this takes the memory of a picture as wide as it is long."""

MIN_SHORTER_SIDE_PX = 600
"""Below this the squares of a card's tags shrink to 2 or 3 pixels on an ordinary plate, and a fry's width to ten."""

Code = Literal["empty", "not_an_image", "truncated", "animated", "too_small", "too_large"]

_AGAIN = "Take the photo again, or send it again from the phone's gallery."

_WORDS: dict[Code, tuple[str, str]] = {
    "empty": ("The file is empty.", f"It was probably not sent whole. {_AGAIN}"),
    "not_an_image": (
        "The file is not a photograph that can be read here{detail}.",
        "Send the camera's own photo: JPEG or HEIC as phones make them, or PNG, TIFF or WebP.",
    ),
    "truncated": ("The photo is damaged or cut short{detail}.", f"It was probably not sent whole. {_AGAIN}"),
    "animated": (
        "The file holds several pictures or a moving one, not one photograph.",
        "Switch burst, live or animation off, and send one single still photo.",
    ),
    "too_small": (
        "The photo is too small{detail}.",
        f"Send the original, not a preview or a copy from a chat; its shorter side needs {MIN_SHORTER_SIDE_PX} pixels.",
    ),
    "too_large": (
        "The photo is too large{detail}.",
        f"Set the camera to 12 megapixels; the most is {MAX_PIXELS // 1_000_000}, or {MAX_BYTES // 1_000_000} MB.",
    ),
}


def refusal(code: Code, detail: str = "") -> PhotoUnreadable:
    """The error for `code`; `detail` goes into the message, in words, without a full stop."""
    message, hint = _WORDS[code]
    return PhotoUnreadable(message.format(detail=f": {detail}" if detail else ""), hint=hint, code=code)


def check_size(width_px: int, height_px: int, least_side_px: int | None = None) -> None:
    """Refuse a picture with too many or too few pixels; called with the header's figures, before decoding.

    `least_side_px` is the least of its shorter side, `MIN_SHORTER_SIDE_PX` where not given.
    """
    if width_px * height_px > MAX_PIXELS:
        raise refusal("too_large", f"{width_px} x {height_px} pixels")
    if max(width_px, height_px) > LONGEST_TO_SHORTEST * min(width_px, height_px):
        raise refusal("not_an_image", f"it is a strip of {width_px} x {height_px} pixels")
    if min(width_px, height_px) < (least_side_px or MIN_SHORTER_SIDE_PX):
        raise refusal("too_small", f"{width_px} x {height_px} pixels")
