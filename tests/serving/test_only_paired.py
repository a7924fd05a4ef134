"""The door: who isn't paired sees nothing of what is behind it, by any path and any kind of connection.

Behind it stands a small app here, because a process holds one Streamlit at most; the browser's tests have the page.
"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from grader.serving.here import AUTHORITY_PATH, COOKIE, PAIR_PATH, PHONE_HEADER
from grader.serving.only_paired import OnlyPaired, Receive, Scope, Send, from_here
from grader.serving.pairing import Pairings, Place

STRANGER = ("192.168.0.77", 50000)
PATHS = ["/", "/judge_a_batch", "/_stcore/health", "/_stcore/host-config", "/static/index.html", "/media/x.jpg",
         "/_stcore/upload_file/x/y", "/app/static/../../etc/passwd"]  # fmt: skip


@pytest.fixture
def pairings() -> Pairings:
    return Pairings()


def place() -> Place:
    until = datetime.now(UTC) + timedelta(hours=8)
    return Place(kitchen="Quay", zone="Europe/Lisbon", shift="dinner", until=until)


@pytest.fixture
def page(pairings: Pairings) -> Iterator[TestClient]:
    """The page as a stranger's phone reaches it."""
    door = OnlyPaired(_behind, pairings, authority=b"PEM")
    with TestClient(door, base_url="https://192.168.0.20:8443", client=STRANGER, follow_redirects=False) as client:
        yield client


async def _behind(scope: Scope, receive: Receive, send: Send) -> None:
    """Answers everything, and says that it is the page."""
    if scope["type"] == "lifespan":
        for _ in range(2):
            await send({"type": f"{(await receive())['type']}.complete"})
    elif scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.accept"})
        await send({"type": "websocket.send", "text": "the page"})
    else:
        headers = [(name, value) for name, value in scope["headers"] if name == PHONE_HEADER.encode()]
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        await send({"type": "http.response.body", "body": b"the page"})


@pytest.mark.parametrize("path", PATHS)
def test_a_stranger_sees_nothing(page: TestClient, path: str) -> None:
    for method in ("GET", "POST", "PUT", "DELETE", "HEAD", "OPTIONS"):
        answer = page.request(method, path)
        assert answer.status_code == 403, (method, path)
        assert "the page" not in answer.text


def test_a_stranger_gets_no_live_connection(page: TestClient) -> None:
    with pytest.raises(WebSocketDisconnect), page.websocket_connect("/_stcore/stream"):
        pass


@pytest.mark.parametrize("token", ["", "x", "a; b=c", '"', "é"])
def test_a_made_up_token_opens_nothing(page: TestClient, token: str) -> None:
    answer = page.get("/", headers={b"cookie": f"{COOKIE}={token}".encode()})
    assert answer.status_code == 403


def test_the_page_is_told_the_token_that_opened_the_door(page: TestClient, pairings: Pairings) -> None:
    token = pairings.pair(pairings.new_code(place())) or ""
    told = {"cookie": f"a=b; {COOKIE}={token}", PHONE_HEADER: "another"}
    assert page.get("/", headers=told).headers.get_list(PHONE_HEADER) == [token]
    # A blank parts no cookies for a browser, nor for Streamlit: who came in by it would have no token on the page.
    assert page.get("/", headers={"cookie": f"a=b {COOKIE}={token}"}).status_code == 403


def test_the_house_computer_is_no_phone_whatever_its_browser_says(pairings: Pairings) -> None:
    with TestClient(OnlyPaired(_behind, pairings), client=("127.0.0.1", 50000)) as here:
        answer = here.get("/", headers={PHONE_HEADER: "another"})
    assert answer.text == "the page"
    assert PHONE_HEADER not in answer.headers


def test_a_code_pairs_the_phone_by_its_button_not_by_its_link(page: TestClient, pairings: Pairings) -> None:
    code = pairings.new_code(place())
    for _ in range(2):
        asked = page.get(f"{PAIR_PATH}?c={code}")
        assert asked.status_code == 200
        assert code in asked.text
    paired = page.post(PAIR_PATH, data={"c": code})
    assert paired.status_code == 303
    cookie = paired.headers["set-cookie"]
    assert {"Secure", "HttpOnly", "SameSite=Lax"} <= set(cookie.split("; "))
    page.cookies.set(COOKIE, cookie.split("=", 1)[1].split(";")[0])
    assert page.get("/").text == "the page"
    with page.websocket_connect("/_stcore/stream") as live:
        assert live.receive_text() == "the page"
    assert page.post(PAIR_PATH, data={"c": code}).status_code == 303, "already paired: back to the page"


def test_a_code_works_for_one_phone_only(page: TestClient, pairings: Pairings) -> None:
    code = pairings.new_code(place())
    assert page.post(PAIR_PATH, data={"c": code}).status_code == 303
    page.cookies.clear()
    again = page.post(PAIR_PATH, data={"c": code})
    assert again.status_code == 403
    assert "set-cookie" not in again.headers


def test_what_a_link_says_is_never_taken_for_html(page: TestClient) -> None:
    answer = page.get(PAIR_PATH, params={"c": '"><script>alert(1)</script>'})
    assert "<script>" not in answer.text
    assert "default-src 'none'" in answer.headers["content-security-policy"]


def test_too_long_a_form_pairs_nobody(page: TestClient) -> None:
    assert page.post(PAIR_PATH, data={"c": "x" * 100_000}).status_code == 403


def test_the_houses_certificate_is_there_for_all(page: TestClient, pairings: Pairings) -> None:
    assert page.get(AUTHORITY_PATH).content == b"PEM"
    page.cookies.set(COOKIE, pairings.pair(pairings.new_code(place())) or "")
    assert page.get("/").text == "the page"
    assert page.get(AUTHORITY_PATH).content == b"PEM", "a phone may install it after it was paired"


def test_the_house_computer_needs_no_pairing() -> None:
    assert from_here({"client": ("127.0.0.1", 5), "server": ("127.0.0.1", 8443)})
    assert from_here({"client": ("192.168.0.20", 5), "server": ("192.168.0.20", 8443)})
    assert not from_here({"client": ("192.168.0.77", 5), "server": ("192.168.0.20", 8443)})
    assert not from_here({"client": None, "server": ("192.168.0.20", 8443)})
