"""What each role sees on the page, and that a page refuses what a role may not, however somebody got there."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.pages.components import acting
from grader.places import HOME_VARIABLE
from grader.records.kept_standards import kept_keys, load_kept, standards_folder
from grader.roles.model import HOUSE, NOBODY, Actor, Role
from grader.serving.here import PHONE_HEADER
from grader.serving.pairing import Pairings, Place
from tests.pages.conftest import ROOT

FOLDER = Path(pages.__file__).parent
COOK = Actor(name="cook@house.example", roles=frozenset({Role.COOK}))
AUDITOR = Actor(name="auditor@house.example", roles=frozenset({Role.AUDITOR}))
QUALITY = Actor(name="quality@house.example", roles=frozenset({Role.QUALITY}))


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "home"))
    return tmp_path / "home"


def as_who(monkeypatch: pytest.MonkeyPatch, actor: Actor) -> None:
    monkeypatch.setattr("grader.pages.components.acting.who_acts", lambda: actor)


def page_of(name: str) -> AppTest:
    """A page by itself, as if the list of pages had been got around."""
    at = AppTest.from_file(str(FOLDER / f"{name}.py"), default_timeout=30).run()
    assert not at.exception
    return at


def captions(at: AppTest) -> str:
    return " ".join(caption.value for caption in at.caption).replace("\\", "")


def errors(at: AppTest) -> str:
    return " ".join(error.value for error in at.error).replace("\\", "")


def keep_a_standard(at: AppTest) -> AppTest:
    def field(label: str) -> None:
        next(one for one in at.text_input if one.label == label).set_value("house")

    for label in ("Short name, to choose it by", "Why"):
        field(label)
    next(one for one in at.button if one.label == "Keep as the first version").click().run()
    assert not at.exception
    return at


def test_a_cook_cannot_keep_a_standard(monkeypatch: pytest.MonkeyPatch) -> None:
    as_who(monkeypatch, COOK)
    at = keep_a_standard(page_of("house_standard"))
    assert "You may not keep standards here" in errors(at)
    assert not kept_keys(standards_folder())


def test_quality_keeps_the_same_standard(monkeypatch: pytest.MonkeyPatch) -> None:
    as_who(monkeypatch, QUALITY)
    assert errors(keep_a_standard(page_of("house_standard"))) == ""
    assert list(kept_keys(standards_folder())) == ["house"]
    assert [one.signed.by for one in load_kept(standards_folder(), "house")] == [QUALITY.name]


@pytest.mark.parametrize("name", ["house_standard", "evidence", "train_the_eye", "at_the_pass"])
def test_whoever_logged_in_is_shown_their_name_and_asked_for_no_initials(
    monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    as_who(monkeypatch, QUALITY)
    at = page_of(name)
    assert f"In your name: {QUALITY.name}" in captions(at)
    assert not [one.label for one in at.text_input if "nitials" in one.label]
    as_who(monkeypatch, HOUSE)
    at = page_of(name)
    assert "In your name" not in captions(at)
    assert [one.label for one in at.text_input if "nitials" in one.label]


def test_a_cook_neither_reads_the_records_nor_makes_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    from grader.records.database import open_house

    open_house().close()
    as_who(monkeypatch, COOK)
    assert "You may not read the records here" in errors(page_of("batches"))
    at = page_of("evidence")
    at.text_input(key="evidence_key_words").set_value("correct horse battery")
    next(one for one in at.button if one.label == "Make the key").click().run()
    assert "You may not make evidence here" in errors(at)


def test_a_cook_judges_by_the_houses_standards_only(monkeypatch: pytest.MonkeyPatch) -> None:
    as_who(monkeypatch, COOK)
    assert "My own file (TOML)" not in page_of("at_the_pass").selectbox(key="pass_standard").options
    as_who(monkeypatch, QUALITY)
    assert "My own file (TOML)" in page_of("at_the_pass").selectbox(key="pass_standard").options


def listed(monkeypatch: pytest.MonkeyPatch, actor: Actor) -> set[str]:
    """The pages that somebody is offered."""
    found: set[str] = set()

    def navigation(pages: list[object], **_: object) -> object:
        found.update(page.title for page in pages)  # type: ignore[attr-defined]
        return SimpleNamespace(run=lambda: None)

    as_who(monkeypatch, actor)
    with monkeypatch.context() as patched:
        patched.setattr("streamlit.navigation", navigation)
        at = AppTest.from_file(str(ROOT / "app.py"), default_timeout=30).run()
    assert not at.exception
    return found


def test_each_role_is_offered_its_own_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    cooks = listed(monkeypatch, COOK)
    assert "At the pass" in cooks
    assert not cooks & {"House standard", "Batches and lots", "Check a sealed file", "Your cards", "Pair a phone"}
    assert listed(monkeypatch, AUDITOR) == {"Batches and lots", "Shift to shift", "Check a sealed file"}
    assert listed(monkeypatch, QUALITY) >= cooks | {"House standard", "Your cards", "Judge a batch", "Pair a phone"}


def test_who_has_no_role_sees_no_page(monkeypatch: pytest.MonkeyPatch) -> None:
    as_who(monkeypatch, Actor(name="eve@elsewhere.example", roles=frozenset()))
    at = AppTest.from_file(str(ROOT / "app.py"), default_timeout=30).run()
    assert "has no role in this house" in errors(at)
    assert not at.get("file_uploader")


def test_a_login_that_is_half_set_up_lets_nobody_in_and_says_so(own_home: Path) -> None:
    own_home.mkdir(parents=True)
    (own_home / "login.toml").write_text("[auth]\n")
    at = AppTest.from_file(str(ROOT / "app.py"), default_timeout=30).run()
    assert "nobody has a role" in errors(at)
    (own_home / "roles.toml").write_text('[people]\n"ab@house.example" = ["quality"]\n')
    at.run()
    assert "no login is set up" in errors(at)
    (own_home / "roles.toml").write_text('[people]\n"ab@house.example" = ["chef"]\n')
    at.run()
    assert "no role; there are" in errors(at)
    assert not at.get("file_uploader")


@pytest.mark.parametrize("logged_in", [False, True])
def test_a_phone_that_is_paired_no_more_is_nobody_and_not_the_house_computer(
    own_home: Path, monkeypatch: pytest.MonkeyPatch, *, logged_in: bool
) -> None:
    """Its page was open when the shift ended, or when it was let go: the door asks only when a page is opened."""
    now = [datetime(2026, 10, 6, 18, 0, tzinfo=UTC)]
    kept = Pairings(clock=lambda: now[0])
    place = Place(kitchen="Quay", zone="Europe/Lisbon", shift="dinner", until=now[0] + timedelta(hours=8))
    token = kept.pair(kept.new_code(place))
    context = SimpleNamespace(headers={PHONE_HEADER: token}, timezone=None)
    monkeypatch.setattr("grader.pages.components.device.pairings", lambda: kept)
    monkeypatch.setattr("grader.pages.components.device.st", SimpleNamespace(context=context))
    if logged_in:
        own_home.mkdir(parents=True)
        (own_home / "roles.toml").write_text('[people]\n"ab@house.example" = ["quality"]\n')
        monkeypatch.setattr("grader.pages.components.acting._claims", lambda: {"email": "ab@house.example"})
    paired = acting.who_acts()
    assert paired.roles == ({Role.QUALITY} if logged_in else {Role.COOK})
    now[0] += timedelta(hours=9)
    assert acting.who_acts() == NOBODY
    at = AppTest.from_file(str(ROOT / "app.py"), default_timeout=30).run()
    assert "paired no more" in errors(at)
    assert not at.get("file_uploader")


def test_the_log_in_button_shows_before_anybody_logged_in(own_home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    own_home.mkdir(parents=True)
    (own_home / "roles.toml").write_text('[people]\n"ab@house.example" = ["quality"]\n')
    monkeypatch.setattr("grader.pages.components.acting._claims", lambda: None)
    at = AppTest.from_file(str(ROOT / "app.py"), default_timeout=30).run()
    assert [one.label for one in at.button][:1] == ["Log in"]
    assert not at.get("file_uploader")
