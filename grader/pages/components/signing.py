"""Whose name is kept: that of the login, shown and not to be changed; without a login, initials that somebody types."""

from collections.abc import Callable

import streamlit as st

from grader.language import tr
from grader.pages.components import acting
from grader.pages.components.plain_words import literal


def own_name(typed: str = "") -> str:
    """The login's name where somebody logged in; else what was typed. What is kept is signed so below the page too."""
    return acting.who_acts().name or typed


def ask_name(
    label: str, *, key: str, usual: str = "", at_most: int = 40, on_change: Callable[[], None] | None = None
) -> str:
    """Ask for initials, or show whose name it will be; where to ask is where this is called."""
    name = own_name()
    if name:
        st.caption(literal(tr("In your name: {name}", name=name)))
        return name
    return st.text_input(label, value=usual, key=key, max_chars=at_most, on_change=on_change).strip()
