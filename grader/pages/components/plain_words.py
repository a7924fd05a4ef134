"""Faults told on the page in plain words: what is wrong, and what to do; the traceback goes to the log only."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager

import streamlit as st

from grader.disk_errors import disk_refuses
from grader.errors import DocumentFaulty, Fault, GraderError
from grader.fault_log import log_fault
from grader.language import retell, tr
from grader.pages.components.manners import heard

log = logging.getLogger(__name__)


def tell(error: GraderError | OSError) -> None:
    """One of this project's own errors, of a document all faults, each on its line; or what a disk refuses."""
    if not isinstance(error, GraderError):
        error = disk_refuses(error)
    if isinstance(error, DocumentFaulty):
        faults = "\n".join(f"- {literal(fault_words(fault))}" for fault in error.faults)
        named = literal(tr("{name} has faults:", name=retell(error.name)))
        st.error(f"{named}\n\n{faults}\n\n{literal(heard(error.hint))}")
    else:
        st.error(f"{literal(heard(error.message))} {literal(heard(error.hint))}")


def fault_words(fault: Fault) -> str:
    """Where a document has a fault and what is wrong; a field of the file is called as it stands there."""
    field = retell(fault.field) if " " in fault.field else fault.field  # more than one word: the program's own name
    if fault.line is None:
        return f"{field}: {heard(fault.message)}"
    return tr("line {line}, {field}: {told}", line=fault.line, field=field, told=heard(fault.message))


def literal(text: str) -> str:
    """Text that Markdown shows as it is."""
    return "".join(f"\\{c}" if c in r"\`*_{}[]()<>#+-.!|~$:" else c for c in text)


@contextmanager
def plain_words() -> Iterator[None]:
    """Whatever fails inside is told in words; Streamlit's own signals pass."""
    try:
        yield
    except (GraderError, OSError) as error:
        tell(error)
    except Exception as error:  # noqa: BLE001 - told in words whatever it is, and logged
        log_fault(log, "page", error)
        st.error(
            tr(
                "A fault of this program stopped this page. Load it again; if it comes back, report it with what the "
                "program logged in the window that it was started from."
            )
        )
