"""The sample batches as rendered, their truth put to the judge with the doubts of a photograph."""

import json
from collections.abc import Callable

import numpy as np
import pytest

from grader.decision import Outcome, Verdict, judge_batch
from grader.fries.model import Fry
from grader.places import sample_folder
from grader.standard import Standard

SHARED = (1.5, 1.0, 1.5)
DOUBT = {"length_u": 1.5, "shared_u": SHARED, "own_u": (0.7, 0.5, 0.7)}
DARK = {"dark_end_dl": 10.0}


def verdict_on(batch: str, make: Callable[..., Fry], standard: Standard, rng: np.random.Generator | None) -> Verdict:
    """With `rng`, lengths and colours are off as a measurement would be: 1.5 mm, the colours of all together."""
    off = rng.normal(0, SHARED) if rng else np.zeros(3)
    plates = []
    for file in sorted((sample_folder() / batch / "truth").glob("*.json")):
        fries = []
        for true in json.loads(file.read_text(encoding="utf-8"))["fries"]:
            dark = true["dark_end"]
            fries.append(
                make(
                    length_mm=true["length_mm"] + (rng.normal(0, 1.5) if rng else 0),
                    width_mm=true["width_mm"],
                    lab=tuple(np.array(true["flesh_lab_mean"]) + off),
                    **DOUBT,
                    **({"dark_end_mm": dark["fraction"] * true["length_mm"], **DARK} if dark else {}),
                )
            )
        plates.append(fries)
    return judge_batch(plates, standard)


def failed(verdict: Verdict) -> set[str]:
    return {limit.key for limit in verdict.limits if limit.outcome is Outcome.FAIL}


@pytest.mark.parametrize("run", [None, 0, 1, 2, 3])
def test_the_three_batches(make: Callable[..., Fry], standard: Standard, run: int | None) -> None:
    rng = None if run is None else np.random.default_rng(run)
    good, dark, short = (verdict_on(batch, make, standard, rng) for batch in ("b1", "b2", "b3"))
    assert good.outcome is Outcome.PASS
    assert dark.outcome is short.outcome is Outcome.FAIL
    assert "colour" in failed(dark)
    assert not failed(dark) & {"length_50.8", "length_76.2", "short", "sliver", "width"}
    assert failed(short) >= {"length_50.8", "length_76.2", "short", "dark_end"}
    assert not failed(short) & {"colour", "spread", "out_of_target"}
