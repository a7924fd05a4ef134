"""What there is one of on this machine: its pairings, the address at which it is served, its certificates."""

import os
from functools import cache
from pathlib import Path

from grader.places import home_folder
from grader.serving.pairing import Pairings

COOKIE = "fry_grader_phone"
PHONE_HEADER = "fry-grader-phone"
"""In it the door tells the page a phone's token; the page reads no cookies."""
PAIR_PATH = "/pair"
AUTHORITY_PATH = "/house-authority.crt"
SERVED_VARIABLE = "FRY_GRADER_SERVED"
"""The environment variable by which `serve` tells the page the address of its own."""


@cache
def pairings() -> Pairings:
    """Kept in the house's own data."""
    return Pairings(home_folder() / "phones.json")


def certificate_folder() -> Path:
    """Where this machine's certificates and keys lie."""
    return home_folder() / "certificate"


def served_at() -> str:
    """The address that phones use ("https://192.168.0.20:8443"); empty where the page is for this machine only."""
    return os.environ.get(SERVED_VARIABLE, "")
