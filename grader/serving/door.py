"""The door of this house: who is paired here, and the house's own certificate for those who want to trust it."""

from starlette.middleware import Middleware

from grader.serving.here import certificate_folder, pairings
from grader.serving.only_paired import OnlyPaired


def door() -> list[Middleware]:
    """What stands before the page."""
    authority = certificate_folder() / "house-authority.crt"
    told = authority.read_bytes() if authority.exists() else b""
    return [Middleware(OnlyPaired, pairings=pairings(), authority=told)]
