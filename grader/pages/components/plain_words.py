"""Faults told on the page in plain words: what is wrong, and what to do; the traceback goes to the log only."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager

import streamlit as st

from grader.errors import DocumentFaulty, GraderError

log = logging.getLogger(__name__)


def tell(error: GraderError) -> None:
    """One of this project's own errors; of a document all faults, each on its line."""
    if isinstance(error, DocumentFaulty):
        faults = "\n".join(f"- {literal(str(fault))}" for fault in error.faults)
        st.error(f"{literal(error.name)} has faults:\n\n{faults}\n\n{literal(error.hint)}")
    else:
        st.error(f"{literal(error.message)} {literal(error.hint)}")


def literal(text: str) -> str:
    """Text that Markdown shows as it is."""
    return "".join(f"\\{c}" if c in r"\`*_{}[]()<>#+-.!|~$:" else c for c in text)


@contextmanager
def plain_words() -> Iterator[None]:
    """Whatever fails inside is told in words; Streamlit's own signals pass."""
    try:
        yield
    except GraderError as error:
        tell(error)
    except Exception:
        log.exception("A page hit a fault of this program")
        st.error(
            "A fault of this program stopped this page. Load it again; if it comes back, report it with what the "
            "program logged in the window that it was started from."
        )
