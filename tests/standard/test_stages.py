"""What a standard asks of blanched and of held fries."""

from dataclasses import replace

import pytest

from grader.errors import DocumentFaulty
from grader.standard import at_stage, load_shipped, read_standard, stage_names, standard_sha256, write_standard
from grader.standard.stages import StageUnknownError

STANDARD = load_shipped()["strips-9.5mm-skin-on"]
TEXT = write_standard(STANDARD)


def faults_of(old: str, new: str) -> dict[str, str]:
    assert TEXT.count(old) == 1, old
    with pytest.raises(DocumentFaulty) as caught:
        read_standard(TEXT.replace(old, new), name="ours.toml")
    return {fault.field: fault.message for fault in caught.value.faults}


def test_each_stage_has_its_own_target_limits_and_surface_and_the_rest_of_finished_ones() -> None:
    blanched = at_stage(STANDARD, "blanched")
    assert (blanched.scale.target_from, blanched.scale.target_to, blanched.surface) == (0.0, 2.2, "matt")
    assert blanched.limits.dark_end_share_at_most == 0.05
    assert blanched.limits.spotted_share_at_most == STANDARD.limits.spotted_share_at_most
    assert blanched.limits.length_shares == STANDARD.limits.length_shares
    assert (blanched.scale.steps, blanched.cut) == (STANDARD.scale.steps, STANDARD.cut)
    assert at_stage(STANDARD, "held").surface == "oiled"
    assert at_stage(STANDARD, "finished") == STANDARD
    assert STANDARD.stage == "finished"


def test_a_stage_can_be_taken_from_any_other_and_the_file_stays_the_same() -> None:
    blanched = at_stage(STANDARD, "blanched")
    assert at_stage(blanched, "held") == at_stage(STANDARD, "held")
    assert at_stage(blanched, "finished") == STANDARD
    assert write_standard(blanched) == TEXT
    assert standard_sha256(blanched) == standard_sha256(STANDARD)


def test_a_stage_that_the_standard_lacks_is_refused_with_those_that_it_has() -> None:
    older = replace(STANDARD, stages=tuple(one for one in STANDARD.stages if one.name == "blanched"))
    assert stage_names(older) == ("blanched", "finished")
    with pytest.raises(StageUnknownError, match="no limits for held fries") as caught:
        at_stage(older, "held")
    assert "blanched and finished ones" in caught.value.hint
    with pytest.raises(StageUnknownError, match="no limits for blanched"):
        at_stage(replace(STANDARD, stages=()), "blanched")


@pytest.mark.parametrize(
    ("old", "new", "field", "says"),
    [
        ("target_to = 2.2", "target_to = 3.0", "stages.blanched.target_to", "must be paler than finished"),
        ("target_to = 2.2", "target_to = 9", "stages.blanched.target_to", "the scale ends at step 7"),
        ("target_from = 0.0", "target_from = 2.5", "stages.blanched.target_from", "not below target_to"),
        ("target_from = 0.0", "target_from = -1", "stages.blanched.target_from", "it must be"),
        ("target_from = 0.0", "", "stages.blanched.target_from", "is missing"),
        ("[stages.blanched]", "[stages.blanchd]", "stages.blanchd", "Did you mean blanched?"),
        ("[stages.held]", "[stages.finished]", "stages.finished", "stands in [scale]"),
        ('surface = "matt"', 'surface = "dull"', "stages.blanched.surface", "it can be"),
        (
            "out_of_target_at_most = 0.3\n",
            "out_of_target_at_most = 30\n",
            "stages.blanched.out_of_target_at_most",
            "0.3",
        ),
        (
            "target_to = 5.0",
            "target_to = 5.0\nshort_share_at_most = 0.1",
            "stages.held.short_share_at_most",
            "no field",
        ),
    ],
)
def test_faults_of_stages_are_told_by_field(old: str, new: str, field: str, says: str) -> None:
    assert says in faults_of(old, new)[field]


def test_a_file_without_stages_reads_as_before() -> None:
    without = TEXT[: TEXT.index("[stages.")]
    assert read_standard(without, name="old.toml") == replace(STANDARD, stages=())
