"""Every way to tamper with a bundle is found, and none crashes the reader."""

import json
import random
from dataclasses import replace
from pathlib import Path

import pytest

from grader.evidence.canonical import canonical
from grader.evidence.chain import entry_line, read_entries
from grader.evidence.check import Holds
from grader.evidence.commitments import draw_in_front, seal_plan
from grader.evidence.pack import pack, unpack
from grader.evidence.plain_check import MANIFEST
from grader.evidence.sealing import seal
from grader.evidence.verifying import Asked, Verified, verified_lines, verify
from grader.language import LANGUAGES, SOURCE
from grader.language.retelling import untold
from tests.evidence import cases
from tests.evidence.tampering import TAMPERINGS, Scene, scene, signed_anew
from tests.records import made_up


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Scene:
    return scene(tmp_path_factory.mktemp("house") / "evidence")


def checked(here: Scene, data: bytes) -> Verified:
    """As somebody checks who holds the key's fingerprint, a hash of the chain and the lot's number from elsewhere."""
    return verify(data, Asked(key=here.fingerprint, head=here.head, lot="OM-0412", grading=False))


def test_the_good_bundle_holds(here: Scene) -> None:
    verified = checked(here, here.good)
    assert verified.holds, verified.checks
    assert {"signature", "files", "chain", "plates", "sealed before", "whose key", "head", "lot"} <= {
        check.key for check in verified.checks if check.holds is Holds.YES
    }


@pytest.mark.parametrize("way", list(TAMPERINGS))
def test_tampering_is_found(here: Scene, way: str) -> None:
    verified = checked(here, TAMPERINGS[way](here))
    assert not verified.holds
    assert all(check.words for check in verified.checks)


def test_no_word_of_the_file_stands_as_a_line_of_the_check(here: Scene) -> None:
    forged = "AB\n\nThis file holds as far as was checked.\x1b[8m"
    contents = unpack(here.good)
    facts = {**json.loads(contents.pop(MANIFEST)), "made_by": forged, "about": forged}
    contents = {**contents, MANIFEST: canonical(facts), "chain.jsonl": contents["chain.jsonl"] + b"{\x1b[2J\n"}
    verified = checked(here, pack(contents))
    assert verified.manifest is not None
    assert verified.manifest.made_by == forged
    lines = list(verified_lines(verified))
    assert [line for line in lines if line.startswith("This file")] == [verified.headline]
    assert "does not hold" in verified.headline
    assert not any("\n" in line or "\x1b" in line for line in lines)


def test_without_anything_from_elsewhere_only_a_whole_forgery_passes(here: Scene) -> None:
    """What can't be found without the fingerprint or a head: another house's file, and this one's own other lot."""
    undetected = {way for way, tamper in TAMPERINGS.items() if verify(tamper(here), Asked(grading=False)).holds}
    assert undetected == {
        "a_bundle_of_another_lot",
        "the_whole_chain_built_anew_with_another_key",
        "the house builds the chain anew with another plan",
        "the house ends the chain before a plate",
    }


def test_records_that_are_left_out_before_the_first_are_told(here: Scene) -> None:
    """A key told again, plates that suit, and a file that begins there: a hash of its end fits."""
    entries = read_entries(unpack(here.good)["chain.jsonl"])
    assert entries[0].link.turn == 1
    contents = unpack(here.good)
    contents["chain.jsonl"] = b"".join(entry_line(entry) for entry in entries[1:])
    told = [check for check in checked(here, signed_anew(contents, here.here.key)).checks if check.key == "plates"]
    assert [check.holds for check in told] == [Holds.YES, Holds.OPEN]
    assert "1 record(s) before these were not handed over" in told[1].words


def test_a_draw_for_another_plan_is_told_and_holds_for_nothing(tmp_path: Path) -> None:
    """Sealed, drawn, and sealed anew before the plates: nobody drew any unit of the plan that counts."""
    here = cases.house(tmp_path)
    seal_plan(here.journal, replace(cases.plan(), units=80, draw=5), made_up.standard())
    draw_in_front(here.journal, supplier=cases.SUPPLIER, lot="OM-0412", words=["a", "b"], by="AB")
    seal_plan(here.journal, cases.plan(), made_up.standard())
    verified = verify(seal(cases.case(here, sealed=False), cases.DOSSIER, here.key).data, Asked(grading=False))
    draws = [check for check in verified.checks if check.key == "draw"]
    assert [check.holds for check in draws] == [Holds.OPEN]
    assert "1 draw(s) belong to another plan" in draws[0].words
    assert not untold(draws[0].words, "es")


def test_a_draw_is_of_as_many_units_as_the_plan_says(here: Scene) -> None:
    verified = checked(here, TAMPERINGS["the house draws fewer units than the plan says"](here))
    assert [check.words for check in verified.checks if check.holds is Holds.NO and check.key == "draw"] == [
        "Units were drawn otherwise than the plan says: not as many, or not of as many."
    ]


def test_random_flips_are_found(here: Scene) -> None:
    draw = random.Random(7)  # noqa: S311 - no secret
    for _ in range(300):
        at = draw.randrange(len(here.good))
        data = here.good[:at] + bytes([here.good[at] ^ (1 << draw.randrange(8))]) + here.good[at + 1 :]
        assert not checked(here, data).holds


def test_every_word_of_a_check_can_be_said_again(here: Scene) -> None:
    """In every language of the page, whatever came out of any of these files."""
    left: set[str] = set()
    for tamper in (lambda scene: scene.good, *TAMPERINGS.values()):
        data = tamper(here)
        for verified in (checked(here, data), verify(data, Asked(grading=False))):
            for words in (verified.headline, *(check.words for check in verified.checks)):
                for language in LANGUAGES:
                    left |= set(untold(words, language)) if language != SOURCE else set()
    assert not left
