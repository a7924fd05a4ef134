"""Photos of the records, small and as a browser knows them: phones write formats that browsers don't."""

import streamlit as st

from grader.pages.components.plain_picture import plain_picture
from grader.photo import read_photo
from grader.records.database import House

_KEPT = 60
"""Small pictures that are remembered in a visit."""


def kept_picture(house: House, sha256: str) -> bytes | None:
    """A plate's photo as it was taken; None where it was forgotten or is no picture any more."""
    kept: dict[str, bytes | None] = st.session_state.setdefault("kept_pictures", {})
    if sha256 not in kept:
        if len(kept) >= _KEPT:
            kept.clear()
        try:
            kept[sha256] = plain_picture(read_photo(house.photos.get(sha256), name=sha256, least_side_px=1).pixels)
        except (OSError, ValueError):
            kept[sha256] = None
    return kept[sha256]
