"""The secret of a visit, in the page's address: by it a batch that wasn't finished is found again after a reload."""

import secrets

import streamlit as st

_VISIT, _SECRET_BYTES = "visit", 16


def hold_visit() -> None:
    """Keep the secret in the page's address, where a reload finds it; on every page, since links drop it."""
    if st.query_params.get(_VISIT) != visit():
        st.query_params[_VISIT] = visit()


def visit() -> str:
    """The secret; nobody guesses it."""
    if _VISIT not in st.session_state:
        st.session_state[_VISIT] = st.query_params.get(_VISIT) or secrets.token_urlsafe(_SECRET_BYTES)
    return str(st.session_state[_VISIT])
