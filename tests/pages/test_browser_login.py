"""Logging in by a browser at a provider of logins, and what each role then sees; nobody else sees anything."""

import os
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from grader.cli.page import page_command
from grader.places import HOME_VARIABLE
from tests.pages.oidc_provider import CLIENT, SECRET, Provider, provider
from tests.pages.running import free_port, running
from tests.pages.test_browser import DESK, browser, picture_of_all

__all__ = ["browser"]
ROLES = """[people]
"cook@house.example" = ["cook"]
"auditor@house.example" = ["auditor"]
"quality@house.example" = ["quality"]
"""
WAIT_MS = 60_000


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Provider]]:
    """A page with a login, and the provider of it."""
    home, port = tmp_path_factory.mktemp("home"), free_port()
    address = f"http://localhost:{port}"
    with provider() as told, pytest.MonkeyPatch.context() as patched:
        (home / "roles.toml").write_text(ROLES)
        (home / "login.toml").write_text(
            f'[auth]\nredirect_uri = "{address}/oauth2callback"\ncookie_secret = "{SECRET}, and long enough"\n'
            f'client_id = "{CLIENT}"\nclient_secret = "{SECRET}"\n'
            f'server_metadata_url = "{told.address}/.well-known/openid-configuration"\n'
        )
        patched.setenv(HOME_VARIABLE, str(home))
        environment = {**os.environ, HOME_VARIABLE: str(home)}
        with running(page_command(port), port, log=home / "log.txt", environment=environment):
            yield address, told


def logged_in(browser: Browser, house: tuple[str, Provider], claims: dict[str, object]) -> Page:
    """A visitor of their own, whom the provider says to be this."""
    address, told = house
    told.claims = claims
    page = browser.new_context(viewport=DESK, locale="en-GB").new_page()
    page.goto(address)
    page.get_by_role("button", name="Log in").click(timeout=WAIT_MS)
    page.get_by_role("button", name="Log out").wait_for(timeout=WAIT_MS)
    return page


def test_before_the_login_nothing_shows_but_its_button(browser: Browser, house: tuple[str, Provider]) -> None:
    page = browser.new_context(viewport=DESK, locale="en-GB").new_page()
    for path in ("", "/house_standard", "/batches"):
        page.goto(f"{house[0]}{path}")
        page.get_by_role("button", name="Log in").wait_for(timeout=WAIT_MS)
        assert page.get_by_test_id("stFileUploaderDropzone").count() == 0
        assert page.get_by_role("heading", name="House standard").count() == 0
    picture_of_all(page, "page-login.png", DESK)
    page.context.close()


def test_a_cook_logs_in_and_gets_a_cooks_pages(browser: Browser, house: tuple[str, Provider]) -> None:
    page = logged_in(browser, house, {"email": "cook@house.example", "email_verified": True})
    page.get_by_text("Logged in as cook@house.example").wait_for(timeout=WAIT_MS)
    page.get_by_role("link", name="The fry line").wait_for(timeout=WAIT_MS)
    assert page.get_by_role("link", name="House standard").count() == 0
    page.goto(f"{house[0]}/house_standard")
    page.get_by_text("Logged in as").wait_for(timeout=WAIT_MS)
    assert page.get_by_text("Begin from").count() == 0
    page.keyboard.press("Escape")  # Streamlit's own word that there is no such page
    page.get_by_role("button", name="Log out").click()
    page.get_by_role("button", name="Log in").wait_for(timeout=WAIT_MS)
    page.context.close()


def test_quality_gets_all_pages_and_an_auditor_those_to_read(browser: Browser, house: tuple[str, Provider]) -> None:
    page = logged_in(browser, house, {"email": "quality@house.example"})
    page.get_by_role("link", name="House standard").wait_for(timeout=WAIT_MS)
    page.context.close()
    page = logged_in(browser, house, {"email": "auditor@house.example", "email_verified": True})
    page.get_by_role("link", name="Check a sealed file").wait_for(timeout=WAIT_MS)
    assert page.get_by_role("link", name="House standard").count() == 0
    page.context.close()


@pytest.mark.parametrize(
    "claims", [{"email": "eve@elsewhere.example"}, {"email": "quality@house.example", "email_verified": False}]
)
def test_who_is_not_in_the_houses_file_sees_nothing(
    browser: Browser, house: tuple[str, Provider], claims: dict[str, object]
) -> None:
    page = logged_in(browser, house, claims)
    page.get_by_text("has no role in this house").wait_for(timeout=WAIT_MS)
    assert page.get_by_role("heading", name="At the pass").count() == 0
    page.context.close()
