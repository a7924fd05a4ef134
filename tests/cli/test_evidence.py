"""The commands for a dispute, from the first key to a stranger's check, on two small real plates."""

import json
import re
import shutil
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from grader.evidence.chain import tag_of
from grader.evidence.journal import house_journal
from grader.evidence.pack import unpack
from grader.places import HOME_VARIABLE
from grader.records.database import LotFacts, open_house
from tests.cli.conftest import Call
from tests.evidence.stamp_server import authority, serving
from tests.records.database.conftest import keep
from tests.records.test_history import run

PLATES = Path(__file__).parent.parent / "plates"
SUPPLIER = "Oddmarsh Growers (invented)"
LOT = ("--supplier", SUPPLIER, "--lot", "OM-0412")
PASSPHRASE = "four words in a row"  # noqa: S105 - of keys that live as long as the test


@pytest.fixture
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "home"))
    monkeypatch.setenv("FRY_GRADER_PASSPHRASE", PASSPHRASE)
    # Two plates are graded sooner here than by two processes that must start first; the bars use those.
    monkeypatch.setattr("grader.evidence.looking.cores", lambda: 1)
    return tmp_path / "home"


@pytest.fixture
def photos(tmp_path: Path) -> Path:
    folder = tmp_path / "b1"
    folder.mkdir()
    for name in ("plain100.jpg", "plain101.jpg"):
        shutil.copy(PLATES / name, folder)
    return folder


def test_keys_are_made_listed_rotated_and_revoked(call: Call, own_home: Path) -> None:
    del own_home
    assert (
        "There is no key yet. Make one: python -m grader evidence keys make" in call("evidence", "keys", "list").output
    )
    made = call("evidence", "keys", "make", "--by", "AB")
    assert made.exit_code == 0
    assert "signs now" in made.output
    assert call("evidence", "keys", "make", "--by", "AB").exit_code == 2
    new = "another four words here"
    rotated = call("evidence", "keys", "rotate", "--by", "AB", "--why", "a year", "--new-passphrase", new)
    assert rotated.exit_code == 0, rotated.output
    listed = call("evidence", "keys", "list").output
    assert re.search(r"made \d{4}-\d\d-\d\d UTC by AB; ended \d{4}-\d\d-\d\d UTC: ", listed)
    revoked = call("evidence", "keys", "revoke", "--by", "AB", "--why", "stolen", "--passphrase", new)
    assert "stolen" in revoked.output


@pytest.fixture
def stamps(tmp_path: Path) -> Iterator[tuple[str, ...]]:
    """The options that name a time-stamp server and its certificate."""
    stamper = authority(tmp_path / "tsa")
    with serving(stamper) as url:
        yield "--server", url, "--root", str(stamper.folder / "root.pem")


def test_a_claim_from_plan_to_a_strangers_check(
    call: Call, own_home: Path, photos: Path, tmp_path: Path, stamps: tuple[str, ...]
) -> None:
    """Whole: plan, draw, plates kept and chained, anchors, custody, the file, and its check with grading."""
    del own_home
    assert call("evidence", "keys", "make", "--by", "AB").exit_code == 0
    planned = ("--units", 40, "--draw", 2, "--plates", 2, "--by", "AB")
    sealed = call("evidence", "plan", "One plate from each carton.", *LOT, *planned)
    assert sealed.exit_code == 0, sealed.output
    head = sealed.output.split("SHA-256 ")[1].split(".")[0]
    sheet = tmp_path / "sheet.txt"
    drawn = call("evidence", "draw", "seven geese", "4711", *LOT, "--by", "AB", "--out", sheet)
    assert drawn.exit_code == 0, drawn.output
    assert sheet.read_text(encoding="utf-8").count("[  ] carton") == 2
    kept = call("records", "import", photos, "--kitchen", "Quayside", "--zone", "Europe/Lisbon", *LOT, "--by", "AB")
    assert kept.exit_code == 0, kept.output
    assert call("evidence", "anchor", "--to", "both sides", "--by", "AB").exit_code == 0
    assert call("evidence", "anchor", *stamps).exit_code == 0
    custody = ("six tubers sealed", *LOT, "--part", "referee", "--holder", "cold store", "--by", "AB")
    assert call("evidence", "custody", *custody).exit_code == 0
    assert "OM-0412" in call("evidence", "list").output
    out = tmp_path / "claim.zip"
    made = call("evidence", "make", "OM-0412", "--out", out, "--by", "AB", "--statement", "Too short.", *stamps)
    assert made.exit_code == 0, made.output
    fingerprint = made.output.split("with the key ")[1].splitlines()[0]

    known = ("--key", fingerprint, "--head", head, "--lot", "OM-0412", "--trust", stamps[-1])
    checked = call("evidence", "verify", out, "--json", *known)
    told = json.loads(checked.stdout)
    assert checked.exit_code == 0, told
    holds = {check["key"]: check["holds"] for check in told["checks"]}
    for key in (
        "time stamp",
        "signature",
        "files",
        "chain",
        "plates",
        "sealed before",
        "draw",
        "numbers",
        "head",
        "whose key",
    ):
        assert holds[key] == "holds", key
    assert "chained late" not in holds
    assert not told["manifest"]["invented"]

    entries = len(house_journal().entries())
    again = call("evidence", "make", "OM-0412", "--out", out, "--by", "AB")
    assert again.exit_code == 2
    assert "claim.zip is there already." in again.output
    assert "graded" not in again.output
    assert len(house_journal().entries()) == entries

    quick = call("evidence", "verify", out, "--without-grading", "--lot", "OM-0431")
    assert quick.exit_code == 1
    assert "not of OM-0431" in quick.output
    contents = unpack(out.read_bytes())
    assert contents["dossier.pdf"].startswith(b"%PDF-1.7")
    assert b"Too short." in contents["manifest.json"]


def test_one_plate_of_a_plan_is_told_as_one(call: Call, own_home: Path) -> None:
    del own_home
    planned = ("--units", 40, "--draw", 2, "--plates", 1, "--by", "AB")
    assert "Sealed: 2 of 40 units (carton), 1 plate." in call("evidence", "plan", "One plate.", *LOT, *planned).output


def test_a_plate_that_was_withdrawn_is_told_of_where_the_file_is_made(
    call: Call, own_home: Path, photos: Path, tmp_path: Path
) -> None:
    del own_home
    call("evidence", "keys", "make", "--by", "AB")
    call("records", "import", photos, "--kitchen", "Quayside", "--zone", "Europe/Lisbon", *LOT, "--by", "AB")
    call("records", "correct", "plate", 1, "--withdraw", "--by", "AB", "--why", "shot by mistake")
    out = tmp_path / "claim.zip"
    made = call("evidence", "make", "OM-0412", "--out", out, "--by", "AB")
    assert made.exit_code == 0, made.output
    assert "Left out: plain100.jpg, withdrawn or moved" in made.output
    assert (
        "1 plate(s) that the chain has of this lot are not in the file"
        in call("evidence", "verify", out, "--without-grading").output
    )


def test_a_plan_that_comes_too_late_or_second_is_told(call: Call, own_home: Path) -> None:
    del own_home
    planned = ("--units", 1, "--draw", 1, "--plates", 1, "--by", "AB")
    told = call("evidence", "plan", "One.", *LOT, *planned).output
    assert "Sealed: 1 of 1 unit (carton), 1 plate." in told
    assert "counts" not in told
    told = call("evidence", "plan", "Another.", *LOT, *planned).output
    assert re.search(r"This lot had a plan \(record 1, \d{4}-\d\d-\d\d UTC\)", told)
    assert "the new one counts, and no draw of the old one does" in told
    house_journal().add("plate", {"photo": "0" * 64}, about=tag_of(SUPPLIER, "OM-0412"))
    told = call("evidence", "plan", "A third.", *LOT, *planned).output
    assert "Too late: 1 plate of this lot came before, so this plan doesn't count." in told


def test_a_lot_without_plates_is_told_from_those_that_have_some(call: Call, own_home: Path) -> None:
    del own_home
    with closing(open_house()) as house:
        for number in range(12):
            keep(house, number, lot=LotFacts(supplier=SUPPLIER, number=f"L-{number}"), batch=f"{number}")
    call("evidence", "keys", "make", "--by", "AB")
    told = call("evidence", "make", "OM-0500", "--out", "x.zip", "--by", "AB")
    assert told.exit_code == 2
    assert 'The records hold no plate of "OM-0500".' in told.output
    assert "; and 2 more, see python -m grader evidence list." in told.output


@pytest.mark.parametrize("option", ["--head", "--key"])
def test_a_hash_that_is_none_is_refused(call: Call, own_home: Path, tmp_path: Path, option: str) -> None:
    """Mistyped, it would accuse the other side."""
    del own_home
    (tmp_path / "claim.zip").write_bytes(b"any")
    told = call("evidence", "verify", tmp_path / "claim.zip", option, "abc")
    assert told.exit_code == 2
    assert "no SHA-256" in told.output
    assert call("evidence", "verify", tmp_path / "claim.zip", option, "A" * 64).exit_code == 1


def test_an_anchor_names_what_to_say_and_the_hash(call: Call, own_home: Path) -> None:
    del own_home
    call("evidence", "keys", "make", "--by", "AB")
    told = call("evidence", "anchor")
    assert told.exit_code == 2
    head = house_journal().head()
    assert head is not None
    assert f"Hand out record 1, {head.hash}, and name --to, --way and --by." in told.output


def test_what_is_wrong_is_said(call: Call, own_home: Path, tmp_path: Path) -> None:
    del own_home
    assert "no signing key" in call("evidence", "make", "X", "--out", tmp_path / "x.zip", "--by", "AB").output
    missing = call("evidence", "verify", tmp_path / "none.zip")
    assert missing.exit_code == 2
    assert "none.zip" in missing.output
    assert "space left" not in missing.output
    (tmp_path / "no.zip").write_bytes(b"nothing")
    assert call("evidence", "verify", tmp_path / "no.zip").exit_code == 1
    assert call("evidence", "anchor", "--to", "x", "--by", "AB").exit_code == 2
    assert call("evidence", "anchor", "--server", "http://127.0.0.1:9").exit_code == 2
    assert "There are no records" in call("evidence", "list").output
    open_house().close()
    assert "The records hold no plate." in call("evidence", "list").output


def test_a_stamp_and_its_certificate_go_together_and_are_asked_for_before_any_work(
    call: Call, own_home: Path, tmp_path: Path
) -> None:
    del own_home
    open_house().close()
    assert call("evidence", "keys", "make", "--by", "AB").exit_code == 0
    (tmp_path / "none.pem").write_text("nothing")
    server, root = ("--server", "http://127.0.0.1:9"), ("--root", tmp_path / "none.pem")
    by_hand = ("--to", "both sides", "--by", "AB")
    make = ("make", "X", "--out", tmp_path / "x.zip", "--by", "AB")
    for asked, words in (
        ((*make, *root), "no server is named"),
        ((*make, *server), "needs a certificate"),
        ((*make, *server, *root), "holds no certificate"),
        (("anchor", *by_hand, *root), "no server is named"),
        (("anchor", *server), "needs a certificate"),
    ):
        told = call("evidence", *asked)
        assert told.exit_code == 2
        assert words in told.output
    root[1].write_bytes((authority(tmp_path / "tsa").folder / "root.pem").read_bytes())
    told = call("evidence", "anchor", *server, *root, *by_hand, "--way", "mailed")
    assert told.exit_code == 2
    assert "A server's stamp notes no --to, --way, --by." in told.output


def test_a_plate_turned_and_shot_again(call: Call, own_home: Path, photos: Path) -> None:
    """Turned by half a turn the photo shows the same plate and mat: lengths and colours come out the same."""
    del own_home
    from PIL import Image

    first, second = photos / "plain100.jpg", photos / "turned.jpg"
    Image.open(first).transpose(Image.Transpose.ROTATE_180).save(second, quality=98)
    told = call("evidence", "turned", first, second, *LOT, "--by", "AB")
    assert told.exit_code == 0, told.output
    assert "found again where they lay" in told.output
    assert "Noted as record 1" in told.output
    another = call("evidence", "turned", first, PLATES / "plain102.jpg", *LOT, "--by", "AB")
    assert another.exit_code == 2
    assert "this can't be one plate that was turned" in another.output
    assert len(house_journal().entries()) == 1
    assert call("evidence", "turned", first, first).exit_code == 2


def test_both_sides_compare_what_they_read(call: Call, own_home: Path, tmp_path: Path) -> None:
    """Six plates, typed in by hand, alike on both sides: the stated doubts cover what they differ by."""
    del own_home
    ours, theirs = (run(tmp_path / side, batches=2, photos=3, first=first) for side, first in (("a", 0), ("b", 20)))
    table = tmp_path / "pairs.csv"
    table.write_text("first,second\n" + "\n".join(f"p{n},p{20 + n}" for n in range(6)), encoding="utf-8")
    told = call("evidence", "joint", ours, theirs, *LOT, "--worth", 2, "--by", "AB", "--pairs", table)
    assert told.exit_code == 0, told.output
    assert "6 plates measured by ours and by theirs" in told.output
    (entry,) = house_journal().of_kind("inspection")
    assert entry.body is not None
    assert entry.body["plates"] == 6
    assert "E_n" in entry.body["came out"]
