"""Who acts on the page: whoever logged in, a paired phone's cook, or the house computer's own user."""

from collections.abc import Mapping

import streamlit as st

from grader.errors import GraderError
from grader.language import tr
from grader.pages.components.device import paired_place, pairing_is_over
from grader.pages.components.plain_words import literal, tell
from grader.places import home_folder
from grader.roles.claims import actor_of
from grader.roles.house_file import house_roles, roles_path
from grader.roles.login import LOGIN_FILE, LoginNotSetUpError
from grader.roles.model import HOUSE, NOBODY, Actor, Duty, Role, allow


def who_acts() -> Actor:
    """Who is behind this run of the page; nobody, until they have logged in where the house wants that.

    Nobody either on a phone whose pairing is over.

    Raises
    ------
    DocumentFaulty
        The house's file of roles has faults.
    LoginNotSetUpError
        There are roles and no login, or a login and no roles.
    """
    roles = house_roles()
    if pairing_is_over():
        return NOBODY
    if roles is None:
        if (home_folder() / LOGIN_FILE).exists():
            hint = f"Write who has which role into {roles_path()}; DEVELOPERS.md and README.md show how."
            raise LoginNotSetUpError("A login is set up, and nobody has a role.", hint=hint)
        place = paired_place()
        return HOUSE if place is None else Actor(name="", roles=frozenset({Role.COOK}))
    claims = _claims()
    return NOBODY if claims is None else actor_of(claims, roles)


def may(duty: Duty) -> bool:
    """Whether who acts may do it: for what is shown; what is done asks again, below the page."""
    return allow(who_acts(), duty)


def let_in() -> bool:
    """Whether the page may go on; else it says what is wrong, or asks for the login."""
    try:
        actor = who_acts()
    except GraderError as error:
        tell(error)
        return False
    if actor.roles:
        return True
    st.title(tr("Fry grader"), anchor=False)
    if pairing_is_over():
        st.error(tr("This phone is paired no more. Scan a new square code, which the house computer shows."))
    elif actor.name:
        st.error(tr("{name} has no role in this house. Ask whoever keeps the house's roles.", name=literal(actor.name)))
        _log_out()
    elif _claims() is not None:
        st.error(tr("The login doesn't say who you are, or not for sure. Ask whoever keeps the house's roles."))
        _log_out()
    elif st.button(tr("Log in"), type="primary", key="log_in", width="stretch"):
        st.login()
    return False


def show_login() -> None:
    """Who is logged in, and the way out; nothing where nobody logs in."""
    if house_roles() is None:
        return
    st.caption(tr("Logged in as {name}", name=literal(who_acts().name)))
    _log_out()


def _log_out() -> None:
    if st.button(tr("Log out"), key="log_out"):
        st.logout()


def _claims() -> Mapping[str, object] | None:
    """What the login says of the visitor; None before they logged in."""
    try:
        set_up = "auth" in st.secrets
    except FileNotFoundError:
        set_up = False
    if not set_up:
        hint = (
            f"Write the section [auth] into {home_folder() / LOGIN_FILE} and start the page anew; README.md shows how."
        )
        raise LoginNotSetUpError("There are roles, and no login is set up.", hint=hint)
    return st.user.to_dict() if st.user.is_logged_in else None
