"""A standard from its TOML file: every fault at once, each with its line and field."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.errors import DocumentFaulty, Fault
from grader.places import calibration_folder
from grader.standard import read_standard, write_standard
from grader.standard.document import CHARACTERS_AT_MOST, LINES_AT_MOST

_FILE = calibration_folder() / "standards" / "strips-9.5mm-skin-on.toml"
SHIPPED = _FILE.read_text(encoding="utf-8").partition("[stages.")[0]
"""Without its stages, which `test_stages.py` is about: so each field stands there once."""


def faults_of(text: str) -> dict[str, tuple[int | None, str]]:
    with pytest.raises(DocumentFaulty) as caught:
        read_standard(text, name="ours.toml")
    return {fault.field: (fault.line, fault.message) for fault in caught.value.faults}


def line_of(text: str, beginning: str) -> int:
    """The line of the file that begins so, found without the code under test."""
    return next(n for n, line in enumerate(text.splitlines(), 1) if line.startswith(beginning))


def edited(old: str, new: str) -> str:
    assert SHIPPED.count(old) == 1, f"{old!r} must stand in the file once"
    return SHIPPED.replace(old, new)


def test_values_come_from_the_file() -> None:
    standard = read_standard(SHIPPED, name="ours.toml")
    assert standard.scale.steps[3].name == "fox"
    assert standard.scale.steps[3].lab == (60.0, 7.5, 35.5)
    assert standard.cut.width_mm == 9.5
    assert standard.cut.skin_on
    assert [s.length_mm for s in standard.limits.length_shares] == [50.8, 76.2]
    assert standard.limits.sliver_share_at_most == 0.15
    assert standard.length_is == "centreline"


def test_what_may_be_left_out_is_none_where_it_is() -> None:
    defects, limits = (
        read_standard(SHIPPED, name="ours.toml").defects,
        read_standard(SHIPPED, name="ours.toml").limits,
    )
    assert (defects.scrap_below_mm, defects.curved_from_bow_share, defects.torn_end_from_mm) == (25.4, 0.1, 1.5)
    assert limits.scrap_share_at_most == 0.15
    assert (limits.crumb_share_at_most, limits.curved_share_at_most, limits.torn_end_share_at_most) == (None,) * 3
    optional = ("scrap_", "curved_", "torn_end_")
    without = "\n".join(line for line in SHIPPED.splitlines() if not line.startswith(optional))
    old = read_standard(without, name="old.toml")
    assert (old.defects.scrap_below_mm, old.defects.curved_from_bow_share, old.defects.torn_end_from_mm) == (None,) * 3
    assert old.limits.scrap_share_at_most is None


def test_a_length_in_inches_stays_as_written_and_is_known_in_mm() -> None:
    text = edited("length_mm = 76.2", 'length_in = 3\nby = "mass"')
    in_mm, in_inches = read_standard(text, name="ours.toml").limits.length_shares
    assert (in_mm.length_mm, in_mm.length_in, in_mm.by) == (50.8, None, "count")
    assert (in_inches.length_mm, in_inches.length_in, in_inches.by) == (76.2, 3.0, "mass")
    assert "length_in = 3.0" in write_standard(read_standard(text, name="ours.toml"))


def test_shares_by_count_and_by_mass_are_ordered_apart() -> None:
    text = edited("length_mm = 76.2", 'length_mm = 50.8\nby = "mass"').replace(
        "at_least_share = 0.20", "at_least_share = 0.9"
    )
    assert [s.by for s in read_standard(text, name="ours.toml").limits.length_shares] == ["count", "mass"]
    more = text + '\n[[limits.length_shares]]\nlength_in = 1.5\nat_least_share = 0.8\nby = "mass"\n'
    assert list(faults_of(more)) == ["limits.length_shares[3].length_in"]


def test_whole_numbers_are_numbers() -> None:
    assert read_standard(edited("width_mm = 9.5", "width_mm = 10"), name="x").cut.width_mm == 10.0


def test_all_faults_at_once_in_the_order_of_the_file() -> None:
    text = edited("target_to =", "targt_to =")
    text = text.replace("lab = [70.0, 0.75, 27.0]", "lab = [70.0, 0.75]")
    text = text.replace("skin_on = true", 'skin_on = "yes"')
    text = text.replace("sliver_share_at_most = 0.15", "sliver_share_at_most = 15")
    text = text.replace('length_is = "centreline"', 'length_is = "centerline"')
    found = faults_of(text)
    assert set(found) == {
        "length_is",
        "scale.target_to",
        "scale.targt_to",
        "scale.steps[2].lab",
        "cut.skin_on",
        "limits.sliver_share_at_most",
    }
    assert found["scale.targt_to"] == (line_of(text, "targt_to"), "is no field of a standard. Did you mean target_to?")
    assert found["scale.target_to"][0] == line_of(text, "[scale]")
    assert found["scale.steps[2].lab"][0] == line_of(text, "lab = [70.0, 0.75]")
    assert found["cut.skin_on"] == (line_of(text, "skin_on"), 'is "yes"; it must be true or false')
    assert "15 % is 0.15" in found["limits.sliver_share_at_most"][1]
    assert "Did you mean centreline?" in found["length_is"][1]
    lines = [line for line, _ in found.values()]
    assert lines == sorted(line for line in lines if line is not None)


def test_the_message_carries_line_field_and_what_to_do() -> None:
    with pytest.raises(DocumentFaulty, match=r"ours\.toml has 1 fault") as caught:
        read_standard(edited("width_mm = 9.5", "width_mm = -9.5"), name="ours.toml")
    assert re.search(r"line \d+, cut\.width_mm: is -9\.5 mm; it must be a number from 2 to 40 mm", str(caught.value))
    assert "Correct the file" in caught.value.hint


@pytest.mark.parametrize(
    ("old", "new", "field", "says"),
    [
        ("schema_version = 1", "schema_version = 2", "schema_version", "must be a number from 1 to 1"),
        ("schema_version = 1", "schema_version = true", "schema_version", "is true; it must be"),
        ("target_from = 2.9", "target_from = 4.9", "scale.target_from", "not below target_to"),
        ("target_to = 4.7", "target_to = 7.5", "scale.target_to", "ends at step 7"),
        ("target_to = 4.7", "target_to = nan", "scale.target_to", "is nan"),
        ('name = "hay"', 'name = "Linen"', "scale.steps[2].name", "name of an earlier step"),
        ('name = "hay"', 'name = " "', "scale.steps[2].name", "is blank"),
        ("lab = [70.0, 0.75, 27.0]", "lab = [74.5, 0.75, 27.0]", "scale.steps[2].lab", "not darker"),
        ("lab = [70.0, 0.75, 27.0]", "lab = [73.5, -1.0, 22.0]", "scale.steps[2].lab", "tell them apart"),
        ("lab = [70.0, 0.75, 27.0]", "lab = [170.0, 0.75, 27.0]", "scale.steps[2].lab", "L* goes from 0 to 100"),
        ("tolerance_mm = 1.75", "tolerance_mm = 9.5", "cut.tolerance_mm", "not less than the width"),
        (
            "sliver_below_width_mm = 6.5",
            "sliver_below_width_mm = 8",
            "defects.sliver_below_width_mm",
            "would be slivers",
        ),
        ("piece_from_mm = 12.0", "piece_from_mm = 44.5", "defects.piece_from_mm", "crumbs must be shorter"),
        ("short_share_at_most = 0.25", "short_share_at_most = 0", "limits.short_share_at_most", "from 0.01 to 1"),
        (
            "at_least_share = 0.20",
            "at_least_share = 1.0",
            "limits.length_shares[2].at_least_share",
            "from 0.01 to 0.99",
        ),
        ("at_least_share = 0.20", "at_least_share = 0.8", "limits.length_shares[2].at_least_share", "more long fries"),
        ("length_mm = 76.2", "length_mm = 50.8", "limits.length_shares[2].length_mm", "shortest first"),
        (
            "length_mm = 76.2",
            "length_mm = 76.2\nlength_in = 3",
            "limits.length_shares[2].length_in",
            "give one of them",
        ),
        ("length_mm = 76.2", "", "limits.length_shares[2].length_mm", "or length_in"),
        ("length_mm = 76.2", "length_in = 76.2", "limits.length_shares[2].length_in", "from 0.25 to 12 inches"),
        ("length_mm = 76.2", "length_in = 2", "limits.length_shares[2].length_in", "50.8 mm after 50.8 mm"),
        ("length_mm = 76.2", 'length_mm = 76.2\nby = "weight"', "limits.length_shares[2].by", '"count" or "mass"'),
        ("curved_from_bow_share = 0.10", "curved_from_bow_share = 10", "defects.curved_from_bow_share", "10 % is 0.1"),
        ("torn_end_from_mm = 1.5", "torn_end_from_mm = 0.5", "defects.torn_end_from_mm", "from 1 to 20 mm"),
        ("scrap_below_mm = 25.4", "", "limits.scrap_share_at_most", "nothing without scrap_below_mm"),
        ("scrap_below_mm = 25.4", "scrap_below_mm = 12", "defects.scrap_below_mm", "longer than crumbs (12 mm)"),
        ("scrap_below_mm = 25.4", "scrap_below_mm = 44.6", "defects.scrap_below_mm", "than short pieces (44.5 mm)"),
        ("scrap_share_at_most", "scrap_shar_at_most", "limits.scrap_shar_at_most", "Did you mean scrap_share_at_most?"),
        ("scrap_share_at_most = 0.15", "scrap_share_at_most = 15", "limits.scrap_share_at_most", "15 % is 0.15"),
        ('name = "9.5 mm (3/8 in), skin on"', "name = 9.5", "cut.name", "must be text"),
        ('version = "1"', f'version = "{"9" * 81}"', "version", "has 81 characters"),
        ('length_is = "centreline"', "length_is = 3", "length_is", "must be"),
        ("width_mm = 9.5", 'width_mm = "9.5"', "cut.width_mm", 'is "9.5"; it must be a number'),
        ("width_mm = 9.5", "", "cut.width_mm", "is missing; give a number from 2 to 40 mm"),
    ],
)
def test_one_fault(old: str, new: str, field: str, says: str) -> None:
    found = faults_of(edited(old, new))
    assert list(found) == [field]
    assert says in found[field][1]
    assert found[field][0] is not None


@pytest.mark.parametrize(
    ("limit", "threshold"),
    [("curved_share_at_most", "curved_from_bow_share"), ("torn_end_share_at_most", "torn_end_from_mm")],
)
def test_a_limit_needs_its_threshold(limit: str, threshold: str) -> None:
    with_limit = edited("scrap_share_at_most = 0.15", f"scrap_share_at_most = 0.15\n{limit} = 0.1")
    assert getattr(read_standard(with_limit, name="ours.toml").limits, limit) == 0.1
    without = "\n".join(line for line in with_limit.splitlines() if not line.startswith(threshold))
    found = faults_of(without)
    assert list(found) == [f"limits.{limit}"]
    assert found[f"limits.{limit}"] == (
        line_of(without, limit),
        f"means nothing without {threshold} in [defects]: from when on it counts",
    )


def test_a_missing_table_is_one_fault() -> None:
    start, end = SHIPPED.index("[cut]"), SHIPPED.index("[defects]")
    found = faults_of(SHIPPED[:start] + SHIPPED[end:])
    assert {field: says for field, (_, says) in found.items()} == {"cut": "is missing; give a table, [cut]"}


def test_a_scale_of_two_steps_or_a_list_instead_of_steps() -> None:
    start, end = SHIPPED.index('[[scale.steps]]\nname = "brass"'), SHIPPED.index("[cut]")
    found = faults_of((SHIPPED[:start] + SHIPPED[end:]).replace("target_from = 2.9", "target_from = 1.1"))
    assert "at least 3" in found["scale.steps"][1]
    start = SHIPPED.index("[[scale.steps]]")
    found = faults_of(SHIPPED[:start] + "steps = [1, 2, 3]\n" + SHIPPED[end:])
    assert "list of tables" in found["scale.steps"][1]
    assert "a table" in faults_of("scale = 3")["scale"][1]


def test_a_value_over_several_lines_stands_where_it_begins() -> None:
    text = edited("lab = [70.0, 0.75, 27.0]", "lab = [\n  70.0, # L*\n  0.75,\n]")
    assert faults_of(text)["scale.steps[2].lab"][0] == text.splitlines().index("lab = [") + 1


def test_what_is_no_toml_is_told_by_its_line() -> None:
    text = edited("[cut]", "[cut")
    found = faults_of(text)
    assert found["the file"][0] == line_of(text, "[cut")
    assert "not valid TOML" in found["the file"][1]
    assert faults_of("a = [1,\n2")["the file"][0] == 2
    assert "nested too deep" in faults_of("a = " + "[" * 20_000)["the file"][1]
    assert "not valid TOML" in faults_of(f"a = {'9' * 5000}")["the file"][1]
    assert "not valid TOML" in faults_of(edited("width_mm = 9.5", f"width_mm = 0x{'F' * 4000}"))["the file"][1]


def test_a_number_that_no_float_holds_is_out_of_range() -> None:
    assert "must be a number" in faults_of(edited("width_mm = 9.5", f"width_mm = {'9' * 400}"))["cut.width_mm"][1]


def test_a_file_that_is_too_long_is_not_read() -> None:
    assert "longer than" in faults_of("#\n" * (LINES_AT_MOST + 1))["the file"][1]
    assert "longer than" in faults_of("#" * (CHARACTERS_AT_MOST + 1))["the file"][1]


@given(st.text(max_size=80))
def test_any_text_is_a_standard_or_faulty(text: str) -> None:
    with pytest.raises(DocumentFaulty):
        read_standard(text, name="any")


@given(st.integers(0, len(SHIPPED)), st.sampled_from(["", "x", "=", "[", '"', "-", "\n", "9"]))
def test_a_file_with_one_slip_is_read_or_told_with_its_place(at: int, slip: str) -> None:
    text = SHIPPED[:at] + slip + SHIPPED[at + 1 :]
    faults: tuple[Fault, ...] | None = None
    try:
        read_standard(text, name="slip")
    except DocumentFaulty as error:
        faults = error.faults
    assert faults is None or len(faults) > 0
    for fault in faults or ():
        missing_at_the_top = "." not in fault.field and fault.message.startswith("is missing")
        assert missing_at_the_top if fault.line is None else 1 <= fault.line <= text.count("\n") + 1


def test_every_shipped_file_is_marked_invented() -> None:
    files = list((calibration_folder() / "standards").glob("*.toml"))
    assert len(files) == 2
    assert all("INVENTED" in file.read_text(encoding="utf-8") for file in files)
