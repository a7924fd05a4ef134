"""Which device asks: a phone that was paired to a kitchen for a shift, or this machine itself."""

import streamlit as st

from grader.serving.here import PHONE_HEADER, pairings
from grader.serving.pairing import Place


def paired_place() -> Place | None:
    """The kitchen and shift that this visitor's phone is paired to; None for whoever came by this machine itself."""
    return pairings().place(_token())


def pairing_is_over() -> bool:
    """Whether this visitor's phone was paired and isn't any more.

    The door asks when a page is opened. Its shift may end, or the phone be let go, while the page stays open: then it
    is no phone of this house, and above all not the house computer.
    """
    return bool(_token()) and paired_place() is None


def _token() -> str | None:
    """As the door handed it on: whoever it let in as a phone has one."""
    return st.context.headers.get(PHONE_HEADER)


def zone_of_visitor() -> str:
    """The time zone of the visitor's clock, as the browser names it; empty where it doesn't."""
    zone = st.context.timezone
    return zone if isinstance(zone, str) else ""
