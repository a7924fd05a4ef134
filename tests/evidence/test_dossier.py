"""The dossier: what stands in it, on its face first; what PDF/A asks of it as far as that can be looked at here."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from grader.arrays import frozen
from grader.decision.model import Outcome
from grader.evidence.dossier import draw_dossier
from grader.evidence.fry_strips import ACROSS_PX, FryStrip
from grader.evidence.model import Case
from grader.evidence.what_may_be_claimed import claimable
from grader.line.lot_fry import LotTest, SugarEnds
from grader.trueness import ColourLevel, LengthLevel, Standing
from tests.evidence import cases
from tests.records import made_up


def strips(turn: int) -> tuple[FryStrip, ...]:
    pixels = frozen(np.full((120, ACROSS_PX, 3), (190, 140, 80), np.uint8))
    return tuple(
        FryStrip(plate=turn, number=n, length_mm=30.0 + 2 * n, place=1.0 + 0.1 * n, pixels=pixels) for n in range(30)
    )


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> cases.House:
    return cases.house(tmp_path_factory.mktemp("house"))


@pytest.fixture(scope="module")
def case(here: cases.House) -> Case:
    made = cases.case(here)
    plates = tuple(
        replace(plate, looked=replace(plate.looked, strips=strips(turn))) for turn, plate in enumerate(made.plates, 1)
    )
    return replace(made, plates=plates)


def words(pdf: bytes) -> str:
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf)]
    return " ".join(" ".join(pages).split())


def test_all_that_a_dossier_says_is_there(case: Case, here: cases.House) -> None:
    text = words(draw_dossier(case, here.key.public))
    for told in (
        "Lot OM-0412",
        "Invented",
        "house-relative",
        "No claim on colour or dark ends may be made",
        "Shorter than agreed.",
        "What is claimed against which limit",
        "at least 60.0 %",
        "Guard band",
        "asked as a claim",
        "Every fry, sorted by length",
        "Every fry, sorted by colour",
        "How lengths spread",
        "The plates",
        "3 of 40 units (carton)",
        "seven geese",
        "Uncertainty budget",
        "Chain of custody",
        "The clocks agree.",
        "Mended by hand",
        "What would overturn this finding",
        "Cautions",
        "Study of the method",
        "page 1 of",
    ):
        assert told in text, told
    assert here.key.public.spoken[:17] in text
    assert not re.search(r"\bnan\b|\binf\b|None(?! was|:)", text)


def test_the_same_case_is_the_same_pdf(case: Case, here: cases.House) -> None:
    assert draw_dossier(case, here.key.public) == draw_dossier(case, here.key.public)


def test_what_an_archive_asks(case: Case, here: cases.House) -> None:
    """Of PDF/A-2b: its mark in the metadata, an output profile, every font embedded, nothing that is forbidden."""
    pdf = draw_dossier(case, here.key.public)
    assert pdf.startswith(b"%PDF-1.7")
    assert b"<pdfaid:part>2</pdfaid:part>" in pdf
    assert b"<pdfaid:conformance>B</pdfaid:conformance>" in pdf
    assert b"/GTS_PDFA1" in pdf
    assert b"/DestOutputProfile" in pdf
    assert pdf.count(b"/FontFile2") == pdf.count(b"/Type /FontDescriptor") == 2
    assert b"/Subtype /Type1" not in pdf
    for forbidden in (b"/JavaScript", b"/Launch", b"/Encrypt", b"/EmbeddedFile", b"/URI", b"/LZWDecode"):
        assert forbidden not in pdf


def test_nothing_is_cut_at_the_edges(case: Case, here: cases.House) -> None:
    """Words longer than a line, and a table over several pages: the outer 8 mm of every page stay white."""
    long = replace(case, statement="A very long word: " + "x" * 400 + ". " + "Many words. " * 300)
    for page in pypdfium2.PdfDocument(draw_dossier(long, here.key.public)):
        picture = page.render(scale=1.0).to_numpy()
        edge = round(8 / 25.4 * 72)
        for side in (picture[:edge], picture[-edge:], picture[:, :edge], picture[:, -edge:]):
            assert (side > 250).all()


ABSOLUTE = Standing(
    colour=ColourLevel.ABSOLUTE,
    colour_reason="The card was measured.",
    colour_lift="",
    length=LengthLevel.ABSOLUTE,
    length_reason="True.",
    length_lift="",
)
FRIED = LotTest(
    difference=0.9,
    u=0.2,
    low=0.5,
    high=1.3,
    freedom=20.0,
    carton_sd=0.1,
    tuber_sd=0.2,
    strip_sd=0.3,
    new_ends=SugarEnds(found=6, tubers=20, low=0.12, high=0.54),
    kept_ends=SugarEnds(found=1, tubers=20, low=0.0, high=0.25),
)


def with_standing(case: Case, standing: Standing) -> Case:
    plates = tuple(
        replace(one, looked=replace(one.looked, graded=replace(one.graded, standing=standing))) for one in case.plates
    )
    return replace(case, plates=plates, verdict=made_up.verdict(Outcome.FAIL))


def test_colour_is_claimed_only_when_it_is_absolute_and_a_test_fry_stands_beside_it(case: Case) -> None:
    relative = claimable(replace(case, verdict=made_up.verdict(Outcome.FAIL)))
    assert not relative.colour
    assert [limit.key for limit in relative.shown_only] == ["colour"]
    lonely = claimable(with_standing(case, ABSOLUTE))
    assert not lonely.colour
    assert "no lot test fry" in lonely.face
    both = claimable(replace(with_standing(case, ABSOLUTE), lot_fry=FRIED))
    assert both.colour
    assert both.shown_only == ()
    assert "absolute" in both.face


def test_the_test_fry_is_told_with_its_intervals(case: Case, here: cases.House) -> None:
    text = words(draw_dossier(replace(with_standing(case, ABSOLUTE), lot_fry=FRIED), here.key.public))
    assert "+0.90 steps darker (95 %: +0.50 to +1.30 steps" in text
    assert "6 of 20 tubers of this lot" in text
    assert "Fault proven" in text


def test_a_fault_that_the_second_photos_do_not_show_is_not_proven(case: Case) -> None:
    failed = replace(case, verdict=made_up.verdict(Outcome.FAIL))
    assert claimable(failed).proven
    assert not claimable(replace(failed, again=made_up.verdict(Outcome.UNDECIDED))).proven
    assert claimable(replace(failed, again=made_up.verdict(Outcome.FAIL))).proven


def test_a_case_of_refused_plates_only_is_drawn(here: cases.House, case: Case, tmp_path: Path) -> None:
    del tmp_path
    refused = tuple(
        replace(one, looked=replace(one.looked, graded=made_up.refused(), strips=(), labels=b"")) for one in case.plates
    )
    text = words(draw_dossier(replace(case, plates=refused, verdict=None, release=None), here.key.public))
    assert "3 of them could not be judged" in text
    assert "No plate could be judged." in text
