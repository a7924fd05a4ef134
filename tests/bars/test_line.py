"""What trials of time and temperature are held to, over kitchens drawn by chance."""

import numpy as np
import pytest

from grader.drawing.line_papers import line_sheet_paper, lot_fry_paper
from grader.drawing.paper import Grid, Notes, Steps, Told
from grader.language import LANGUAGES, speaking
from grader.line.browning_fit import fit_browning
from grader.line.causes import load_causes
from grader.line.lot_fry import compare_lots, plan_lot_fry
from grader.line.sheet import FIGURES
from grader.line.trial import window_at
from grader.line.trial_choice import choose_curve
from grader.line.trial_plan import candidate_plates, log_time_u_after, next_plate
from grader.sampling.exact import share_interval
from tests.line.cause_cases import CASES, faults_of, without
from tests.line.simulated import MIDDLE, NOISE, STEPS, TARGET, draw_kitchen, trial
from tests.line.simulated_lots import Lots, fry_lots

pytestmark = pytest.mark.bar

TRIALS = 500
COVERED_AT_LEAST, HALF_WIDTH_AT_MOST = 0.93, 0.08


@pytest.mark.slow
def test_the_window_of_twelve_plates_holds_the_true_time() -> None:
    rng, held, wide, theory = np.random.default_rng(12), [], [], []
    for _ in range(TRIALS):
        kitchen = draw_kitchen(rng)
        choice = choose_curve(trial(kitchen, rng), NOISE, steps=STEPS)
        window = window_at(choice.fit, kitchen.celsius, target_from=TARGET[0], target_to=TARGET[1])
        held.append(window.low_s <= kitchen.time_s <= window.high_s)
        wide.append(window.half_width)
        theory.append(choice.by_theory)
    median, most = np.median(wide), np.quantile(wide, 0.95)
    print(
        f"{TRIALS} trials of 12 plates: the true time held {np.mean(held):.1%} at nominal 95 %, "
        f"half-width {median:.1%} (median; 95 % below {most:.1%}); theory chosen {np.mean(theory):.0%}"
    )
    assert np.mean(held) >= COVERED_AT_LEAST
    assert median <= HALF_WIDTH_AT_MOST


def test_the_proposed_next_plate_beats_one_drawn_by_chance() -> None:
    """Information on the log of the time until the middle of the target: one over its variance."""
    rng, proposed, by_chance = np.random.default_rng(13), [], []
    for _ in range(100):
        kitchen = draw_kitchen(rng)
        fit = fit_browning(trial(kitchen, rng), NOISE, steps=STEPS)
        offered = candidate_plates(fit.tried)
        two = next_plate(fit, place=MIDDLE, celsius=kitchen.celsius), offered[int(rng.integers(len(offered)))]
        now = fit.log_time(MIDDLE, kitchen.celsius)[1]
        gained = [1 / u**2 - 1 / now**2 for u in log_time_u_after(fit, two, place=MIDDLE, celsius=kitchen.celsius)]
        proposed.append(gained[0] * now**2)
        by_chance.append(gained[1] * now**2)
    told = (
        f"{np.mean(proposed):.1%} more information from the proposed plate, {np.mean(by_chance):.1%} from one by chance"
    )
    print(told)
    assert np.mean(proposed) > 1.3 * np.mean(by_chance)
    assert np.min(np.array(proposed) - np.array(by_chance)) >= -1e-9


@pytest.mark.parametrize("ends", [0.0, 0.05, 0.2, 0.5])
def test_stated_intervals_hold_the_share_of_sugar_ends(ends: float) -> None:
    """20 tubers: an exact interval never falls short of its level."""
    rng, held = np.random.default_rng(int(100 * ends)), []
    for _ in range(2000):
        found = int(rng.binomial(20, ends))
        low, high = share_interval(found, 20)
        held.append(low <= ends <= high)
    print(f"{ends:.0%} of a lot's tubers with sugar ends: held {np.mean(held):.1%} at nominal 95 %, at least")
    assert np.mean(held) >= 0.95 - 3 * np.sqrt(0.95 * 0.05 / 2000)


def test_a_lot_half_a_step_off_is_told_apart() -> None:
    """20 tubers of each lot, two strips a tuber, in five baskets; tubers differ by 0.3 steps, cartons by 0.1."""
    rng, lots = np.random.default_rng(20), 400
    apart = np.mean([compare_lots(fry_lots(Lots(difference=0.5), rng)).differ for _ in range(lots)])
    alike = np.mean([compare_lots(fry_lots(Lots(), rng)).differ for _ in range(lots)])
    print(f"half a step off: told apart {apart:.1%} (bar 90 %); alike: told apart {alike:.1%} (bar 5 %)")
    assert apart >= 0.90
    assert alike <= 0.05


def test_every_case_of_the_table_comes_out_and_every_rule_matters_in_one() -> None:
    """Cases and reasons: tests/line/cases.toml. A rule matters where a case that holds with it fails without it."""
    causes = load_causes()
    wrong = [case["name"] for case in CASES if faults_of(case, causes)]
    rules = [rule.key for cause in causes for rule in cause.rules]
    idle = [rule for rule in rules if not any(faults_of(case, without(causes, rule)) for case in CASES)]
    print(f"{len(CASES)} cases, {len(wrong)} come out otherwise; {len(rules)} rules, {len(idle)} matter in no case")
    assert len(CASES) >= 25
    assert all(case["because"] for case in CASES)
    assert not wrong
    assert not idle


@pytest.mark.parametrize("language", list(LANGUAGES))
def test_every_figure_on_the_sheets_has_its_unit_and_who_says_so(language: str) -> None:
    """Cells: `tests/drawing/test_line_papers.py` looks at sentences one by one, and at the pages."""
    with speaking(language):
        papers = lot_fry_paper(plan_lot_fry(tubers=20, cartons=4, baskets=5, strips=2, seed=1)), line_sheet_paper()
    rows = [row for block in papers[1].blocks[:1] if isinstance(block, Grid) for row in block.rows]
    bare = [row for row in rows if not (row[2] and row[4] and row[3].split(" ")[1].startswith(row[2]))]
    told = [
        one for paper in papers for block in paper.blocks if isinstance(block, Steps | Notes) for one in all_of(block)
    ]
    unsaid = [one.words for one in told if any(sign.isdigit() for sign in one.words) and not one.source]
    print(f"{language}: {len(rows)} figures of the line sheet, {len(bare)} without unit or source; "
          f"{len(told)} sentences, {len(unsaid)} with figures and no source")  # fmt: skip
    assert len(rows) == len(FIGURES)
    assert not bare
    assert not unsaid


def all_of(block: Steps | Notes) -> tuple[Told, ...]:
    return block.steps if isinstance(block, Steps) else block.notes
