"""Time stamps by RFC 3161, against a server of openssl's making."""

import random
import subprocess
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from grader.evidence.anchors import anchor_by_hand, anchor_by_stamp, head_words, stamp_in
from grader.evidence.case_making import handed_over
from grader.evidence.check import Holds
from grader.evidence.errors import EvidenceRefused, StampUnusable
from grader.evidence.journal import Journal
from grader.evidence.model import Case
from grader.evidence.pack import pack, unpack
from grader.evidence.plain_check import SIGNATURE
from grader.evidence.sealing import seal, with_stamp
from grader.evidence.stamps import check_stamp, fetch_stamp, read_roots, stamp_request
from grader.evidence.verifying import Asked, verify
from tests.evidence import cases
from tests.evidence.stamp_server import Authority, authority, serving

DATA = b"what is stamped"


@pytest.fixture(scope="module")
def stamper(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return authority(tmp_path_factory.mktemp("tsa") / "one")


@pytest.fixture(scope="module")
def stranger(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return authority(tmp_path_factory.mktemp("tsa") / "two")


def test_a_stamp_is_fetched_and_holds(stamper: Authority) -> None:
    roots = read_roots(stamper.root)
    with serving(stamper) as url:
        reply = fetch_stamp(url, stamp_request(DATA), DATA, roots)
    stamped = check_stamp(reply, DATA, roots)
    assert abs(stamped.at - datetime.now(UTC)) < timedelta(minutes=1)
    assert stamped.authority == "CN=stamper of the test"


def test_openssl_finds_that_it_holds_too(stamper: Authority, tmp_path: Path) -> None:
    (tmp_path / "stamp.tsr").write_bytes(stamper.reply(stamp_request(DATA).der))
    (tmp_path / "data").write_bytes(DATA)
    (tmp_path / "root.pem").write_bytes(stamper.root)
    command = ["openssl", "ts", "-verify", "-in", "stamp.tsr", "-data", "data", "-CAfile", "root.pem"]
    told = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=True)
    assert "Verification: OK" in told.stdout


def test_other_data_other_roots_and_other_nonces_are_refused(stamper: Authority, stranger: Authority) -> None:
    request = stamp_request(DATA)
    reply, roots = stamper.reply(request.der), read_roots(stamper.root)
    assert check_stamp(reply, DATA, roots, nonce=request.nonce).serial > 0
    with pytest.raises(StampUnusable, match="doesn't hold"):
        check_stamp(reply, DATA + b"x", roots)
    with pytest.raises(StampUnusable, match="doesn't hold"):
        check_stamp(reply, DATA, read_roots(stranger.root))
    with pytest.raises(StampUnusable, match="doesn't hold"):
        check_stamp(reply, DATA, roots, nonce=7)
    with pytest.raises(StampUnusable, match="No certificate"):
        check_stamp(reply, DATA, [])
    with pytest.raises(StampUnusable, match="no certificate"):
        read_roots(b"none")


def test_a_certificate_for_something_else_stamps_nothing(tmp_path: Path) -> None:
    """openssl itself refuses to stamp with it; so the stamp is made, then the certificate exchanged in what is told."""
    with pytest.raises(subprocess.CalledProcessError):
        authority(tmp_path / "web", usage="critical, serverAuth").reply(stamp_request(DATA).der)


def test_bytes_that_are_no_stamp_are_refused(stamper: Authority) -> None:
    roots = read_roots(stamper.root)
    reply = stamper.reply(stamp_request(DATA).der)
    draw = random.Random(3)  # noqa: S311 - no secret
    odd = [b"", b"0", b"\x30\x03\x02\x01\x00", reply[: len(reply) // 2], b"\x30\x84\xff\xff\xff\xff", bytes(300_000)]
    for _ in range(300):
        at = draw.randrange(len(reply))
        odd.append(reply[:at] + bytes([reply[at] ^ (1 << draw.randrange(8))]) + reply[at + 1 :])
    good, held = check_stamp(reply, DATA, roots), 0
    for data in odd:
        try:
            # Bits that no signature covers (certificates that aren't needed) may flip; nothing is told otherwise then.
            assert check_stamp(data, DATA, roots) == good
            held += 1
        except StampUnusable:
            continue
    assert held < len(odd) / 2


def test_a_server_that_fails_is_told(stamper: Authority) -> None:
    roots = read_roots(stamper.root)
    with serving(stamper, status=503) as url, pytest.raises(StampUnusable, match="gave no answer"):
        fetch_stamp(url, stamp_request(DATA), DATA, roots)
    with pytest.raises(StampUnusable, match="gave no answer"):
        fetch_stamp("http://127.0.0.1:9/", stamp_request(DATA), DATA, roots)
    with pytest.raises(StampUnusable, match="no address"):
        fetch_stamp("file:///etc/passwd", stamp_request(DATA), DATA, roots)


def test_the_chains_head_is_anchored(stamper: Authority, tmp_path: Path) -> None:
    journal = Journal(folder=tmp_path)
    with pytest.raises(EvidenceRefused, match="no record to anchor"):
        anchor_by_hand(journal, way="printed", to="both sides", by="AB")
    head = journal.add("plate", {"photo": "a"})
    with serving(stamper) as url:
        anchored = anchor_by_stamp(journal, url, stamper.root)
    assert anchored.body is not None
    assert anchored.body["head"] == head.link.hash
    assert stamp_in(anchored.body, ()) is not None
    for change in ({"head": "0" * 64}, {"reply": "no base 64!"}, {"root": "none"}, {"reply": 7}):
        with pytest.raises(StampUnusable):
            stamp_in({**anchored.body, **change}, ())
    printed = anchor_by_hand(journal, way="printed", to="both sides", by="AB")
    assert printed.body is not None
    assert stamp_in(printed.body, ()) is None
    assert anchored.link.hash in head_words(printed)
    with pytest.raises(EvidenceRefused, match="to whom"):
        anchor_by_hand(journal, way="printed", to=" ", by="AB")


def now_house(folder: Path) -> cases.House:
    """A house whose clock is right, as the server's is."""
    return cases.house(folder, clock=lambda: datetime.now(UTC))


def test_stamps_are_part_of_what_a_stranger_checks(stamper: Authority, stranger: Authority, tmp_path: Path) -> None:
    here = now_house(tmp_path / "evidence")
    case = cases.case(here)
    with serving(stamper) as url:
        anchor_by_stamp(here.journal, url, stamper.root)
    made = datetime.now(UTC)
    case = replace_entries(case, here, made)
    sealed = seal(case, cases.DOSSIER, here.key).data
    signature = unpack(sealed)[SIGNATURE]
    stamp = stamper.reply(stamp_request(signature).der)
    stamped = with_stamp(sealed, stamp, stamper.root)

    trusting = verify(stamped, Asked(grading=False, roots=read_roots(stamper.root)))
    told = {check.key: check.holds for check in trusting.checks}
    assert trusting.holds
    assert told["time stamp"] is Holds.YES
    assert told["anchor"] is Holds.YES
    untold = verify(stamped, Asked(grading=False))
    assert untold.holds
    assert {check.key: check.holds for check in untold.checks}["time stamp"] is Holds.OPEN
    assert not verify(stamped, Asked(grading=False, roots=read_roots(stranger.root))).holds

    for changed in (
        with_stamp(sealed, stamper.reply(stamp_request(b"else").der), stamper.root),
        with_stamp(sealed, stamp, stranger.root),
        pack({**unpack(stamped), "manifest.tsr": stamp[:-9]}),
    ):
        assert not verify(changed, Asked(grading=False)).holds


def test_a_moment_after_the_stamp_is_told(stamper: Authority, tmp_path: Path) -> None:
    """Made a day later than its stamp says: by a house whose clock was put forward, or back, in between."""
    here = now_house(tmp_path / "evidence")
    case = replace_entries(cases.case(here), here, datetime.now(UTC) + timedelta(days=1))
    sealed = seal(case, cases.DOSSIER, here.key).data
    stamp = stamper.reply(stamp_request(unpack(sealed)[SIGNATURE]).der)
    verified = verify(with_stamp(sealed, stamp, stamper.root), Asked(grading=False))
    assert [check.words for check in verified.checks if check.holds is Holds.NO] == [
        "The file says that it was made after its time stamp: a clock was moved."
    ]


def test_an_anchor_that_was_written_later_than_it_says_is_told(stamper: Authority, tmp_path: Path) -> None:
    """A chain built anew a day later, with the moments of a day before: its stamp gives it away."""
    yesterday = datetime.now(UTC) - timedelta(days=1)
    here = cases.house(tmp_path / "evidence", clock=lambda: yesterday)
    case = cases.case(here)
    with serving(stamper) as url:
        anchor_by_stamp(here.journal, url, stamper.root)
    sealed = seal(replace_entries(case, here, datetime.now(UTC)), cases.DOSSIER, here.key).data
    verified = verify(sealed, Asked(grading=False, roots=read_roots(stamper.root)))
    (told,) = [check for check in verified.checks if check.key == "anchor"]
    assert told.holds is Holds.NO
    assert "written later" in told.words


def test_a_stamp_of_a_record_that_is_not_in_the_file_says_nothing(stamper: Authority, tmp_path: Path) -> None:
    """A true stamp of some other chain, put into this one: it must not count as an anchor of these records."""
    other = now_house(tmp_path / "other")
    with serving(stamper) as url:
        stamped = anchor_by_stamp(other.journal, url, stamper.root)
    here = now_house(tmp_path / "evidence")
    case = cases.case(here)
    here.journal.add("anchor", {**(stamped.body or {}), "turn": 4711})
    sealed = seal(replace_entries(case, here, datetime.now(UTC)), cases.DOSSIER, here.key).data
    verified = verify(sealed, Asked(grading=False, roots=read_roots(stamper.root)))
    (told,) = [check for check in verified.checks if check.key == "anchor"]
    assert told.holds is Holds.OPEN
    assert "isn't in this file" in told.words


def replace_entries(case: Case, here: cases.House, made: datetime) -> Case:
    entries = handed_over(here.journal.entries(), case.tag, here.key.public)
    return replace(case, entries=entries, made_at=made)
