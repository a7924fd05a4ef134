"""A seasoned plate: lengths as they were, and nothing that rests on colour."""

from grader.decision import judge_plate
from grader.decision.judging import without_colour
from grader.decision.model import Outcome
from grader.records.database.figures import plate_figures
from grader.seasoned import judge_some_seasoned, withhold_colour
from grader.standard import at_stage, load_shipped
from tests.records import made_up


def test_lengths_stay_and_colour_goes() -> None:
    graded, standard = made_up.graded("plate"), made_up.standard()
    told = withhold_colour(graded, standard)
    assert told.plate is not None
    assert graded.plate is not None
    assert [fry.length_mm for fry in told.plate.fries] == [fry.length_mm for fry in graded.plate.fries]
    assert all(fry.colour is None and fry.spots_mm == () and fry.dark_end_mm is None for fry in told.plate.fries)
    assert told.verdict is not None
    assert {limit.about for limit in told.verdict.limits} <= {"length", "width", "defects"}
    assert not {"colour", "spread", "out_of_target", "dark_end", "spot"} & {limit.key for limit in told.verdict.limits}
    assert told.verdict.headline.endswith("Colour was withheld.")
    figures = plate_figures(told.plate.fries, standard, told.verdict)
    assert figures.place_mean is None
    assert figures.lab_l is None
    assert figures.measured > 0


def test_a_pass_without_colour_claims_none() -> None:
    fries = tuple(made_up.fry(number, y=60 * number, length_px=400) for number in range(1, 60))
    verdict = without_colour(judge_plate(fries, made_up.standard()), made_up.standard())
    assert verdict.outcome is Outcome.PASS
    without = "Pass: lengths, width and shape meet the standard (judged from one plate only). Colour was withheld."
    assert verdict.headline == without
    held = at_stage(load_shipped()["strips-9.5mm-skin-on"], "held")
    said = without_colour(judge_plate(fries, held), held).headline
    assert "(judged as held fries, from one plate only). Colour was withheld." in said


def test_one_seasoned_plate_withholds_the_batchs_colour() -> None:
    photos, standard = [made_up.graded("plate")], made_up.standard()
    plain = judge_some_seasoned(photos, standard, seasoned=False)
    some = judge_some_seasoned(photos, standard, seasoned=True)
    assert plain is not None
    assert some is not None
    assert {"colour"} == {one.key for one in plain.limits} & {"colour"}
    assert "colour" not in {one.key for one in some.limits}


def test_a_refused_photo_stays_refused() -> None:
    refused = made_up.refused("x-refused")
    assert withhold_colour(refused, made_up.standard()) is refused
