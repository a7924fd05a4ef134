"""Published plans as data: the shipped files against what was read of the standards; faults, all at once."""

from itertools import pairwise

import pytest

from grader.errors import DocumentFaulty
from grader.places import calibration_folder
from grader.sampling.model import CHECK, CameOut, Inspection, Plan
from grader.sampling.reading import LETTERED, load_lettered, load_listed, read_lettered, read_listed

FOLDER = calibration_folder() / "sampling"
TEXT = (FOLDER / f"{LETTERED}.toml").read_text(encoding="utf-8")
LISTED_TEXT = (FOLDER / "21-cfr-158-3.toml").read_text(encoding="utf-8")
LADDERS = {
    Inspection.NORMAL: [0, 1, 2, 3, 5, 7, 10, 14, 21],
    Inspection.TIGHTENED: [0, 1, 2, 3, 5, 8, 12, 18],
    Inspection.REDUCED: [0, 1, 2, 3, 5, 7, 10],
}
"""The acceptance numbers that MIL-STD-105E steps through."""
_DRAWN = (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000)
SIZES = dict(zip("ABCDEFGHJKLMNPQR", _DRAWN, strict=True))


def test_frozen_vegetables_as_21_cfr_158_3_prints_them() -> None:
    """Paragraph (f): containers of 1 kg or less, to the last lot of each row, with n and c."""
    rows = load_listed()["21-cfr-158-3"].rows
    assert [(row.lot_to, row.plan.n, row.plan.accept) for row in rows] == [
        (4_800, 13, 2),
        (24_000, 21, 3),
        (48_000, 29, 4),
        (84_000, 48, 6),
        (144_000, 84, 9),
        (240_000, 126, 13),
        (float("inf"), 200, 19),
    ]
    assert all(before.lot_to + 1 == after.lot_from for before, after in pairwise(rows))


def test_containers_as_7_cfr_42_109_prints_them() -> None:
    """Acceptance numbers at the origin (AQL 0.25, 1.5, 6.5) and elsewhere (0.25, 2.5, 10)."""
    rows = load_listed()["7-cfr-42-109"].rows
    printed: dict[tuple[str, int], list[int]] = {}
    for row in rows:
        printed.setdefault((row.name, row.plan.n), []).append(row.plan.accept)
        assert row.plan.reject == row.plan.accept + 1
    assert printed == {
        ("at the origin", 84): [0, 3, 9],
        ("at the origin", 168): [1, 5, 16],
        ("at the origin", 315): [2, 8, 28],
        ("at the origin", 500): [3, 12, 42],
        ("at the origin", 800): [4, 18, 64],
        ("other than at the origin", 84): [0, 4, 13],
        ("other than at the origin", 168): [1, 7, 23],
        ("other than at the origin", 315): [2, 13, 41],
        ("other than at the origin", 500): [3, 18, 62],
        ("other than at the origin", 800): [4, 27, 95],
    }


@pytest.mark.parametrize("inspection", LADDERS)
def test_every_cell_lies_on_its_diagonal(inspection: Inspection) -> None:
    """AQLs and samples rise by one ratio, the fifth root of ten: one sample larger at one AQL lower has the same
    numbers of acceptance and rejection. A slip in any cell breaks that."""
    standard = load_lettered()
    table, samples = standard.tables[inspection].plans, list(SIZES.values())
    assert len(table) == len(SIZES) * len(standard.aqls)
    diagonals: dict[int, set[tuple[int, int]]] = {}
    for (_, aql), plan in table.items():
        step = samples.index(plan.n) + standard.aqls.index(aql)
        diagonals.setdefault(step, set()).add((plan.accept, plan.reject))
    assert all(len(numbers) == 1 for numbers in diagonals.values()), diagonals
    accepted = [numbers.pop()[0] for _, numbers in sorted(diagonals.items())]
    assert accepted == sorted(accepted)
    assert list(dict.fromkeys(accepted)) == LADDERS[inspection]


@pytest.mark.parametrize("inspection", LADDERS)
def test_a_worse_quality_allowed_is_never_sampled_harder(inspection: Inspection) -> None:
    """Along a letter the share allowed rises with the AQL; along an AQL the sample grows with the lot."""
    standard = load_lettered()
    plans = standard.tables[inspection].plans
    for letter in SIZES:
        shares = [(plans[letter, aql].reject - 0.5) / plans[letter, aql].n for aql in standard.aqls]
        assert shares == sorted(shares), letter
    for aql in standard.aqls:
        accepted = [plans[letter, aql].accept for letter in SIZES]
        assert accepted == sorted(accepted), aql


def test_letters_cover_every_lot_and_rise_with_it() -> None:
    standard = load_lettered()
    assert standard.letters[0].lot_from == 2
    assert standard.letters[-1].lot_to == float("inf")
    for before, after in pairwise(standard.letters):
        assert before.lot_to + 1 == after.lot_from
        assert all(before.letters[level] <= after.letters[level] for level in standard.levels)


def test_what_was_not_read_says_so() -> None:
    standard = load_lettered()
    assert standard.letters_read.caution == ""
    assert all(table.read.caution == "" for table in standard.tables.values())
    assert {rule.read.caution for rule in standard.switching} == {CHECK}
    assert all(row.read.mark == "VERIFIED" for one in load_listed().values() for row in one.rows)


def test_all_faults_of_a_file_at_once() -> None:
    text = TEXT.replace('letters = "A A A A A A B"', 'letters = "A A A"', 1)
    text = text.replace("20:0/1 13:0/1 8:0/1 5:0/1 3:0/1 2:0/1 5:1/2", "20:0/1 13 8:0/1 5:2/1", 1)
    text = text.replace("lots = 2\nof = 5", "lots = 6\nof = 5", 1)
    text = text.replace("issuer =", "isuer =", 1)
    with pytest.raises(DocumentFaulty) as caught:
        read_lettered(text, name="ours.toml")
    found = {fault.field: fault.message for fault in caught.value.faults}
    assert set(found) == {"issuer", "isuer", "letters.rows[1].letters", "normal.rows[1].plans", "switching[1].of"}
    assert "3 letters for 7 levels" in found["letters.rows[1].letters"]
    assert "like 80:5/6" in found["normal.rows[1].plans"]


def test_faults_of_a_list_and_of_aqls() -> None:
    text = LISTED_TEXT.replace("lot_to = 24000", "lot_to = 2400", 1).replace("accept = 2\n", "accept = 13\n", 1)
    with pytest.raises(DocumentFaulty) as caught:
        read_listed(text, name="ours.toml")
    assert {fault.field for fault in caught.value.faults} == {"rows[1].accept", "rows[2].lot_to"}
    for aqls in ("0.65 a", "1.0 0.65", "0 1"):
        with pytest.raises(DocumentFaulty, match="aqls"):
            read_lettered(TEXT.replace('aqls = "0.65 1.0', f'aqls = "{aqls}', 1), name="ours.toml")


def test_words() -> None:
    assert str(Plan(n=80, accept=5, reject=6)) == "80 units, accept up to 5, reject from 6"
    assert [*CameOut] == ["accepted", "between", "rejected"]
