"""From many shots to the modes that `grader.colour.metamerism` works with."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from grader.arrays import FloatArray
from grader.colour.metamerism import LearntMetamerism, tone_terms
from tests.spectral.bench import Shot

MODES = 16
_RUN_AWAY = 25.0
# Heavy tails: harmless lights and very bad ones. Found by how often fries in CIE lights, which are not learnt from, lie
# within their stated doubt.
DEGREES = 8.0


def patch_means(shot: Shot, colours: FloatArray) -> FloatArray:
    """(k, 3) mean error of a shot's patches by the colour of the card that each is nearest to."""
    nearest = np.linalg.norm(shot.design_lab[:, None] - colours, axis=-1).argmin(1)
    return np.stack([shot.patch_error[nearest == k].mean(0) for k in range(len(colours))])


def tone_coefficients(shot: Shot) -> FloatArray:
    """(t, 3) how the error of a shot's fries goes with their tone, in least squares."""
    return np.asarray(np.linalg.lstsq(tone_terms(shot.fry_lab), shot.fry_error, rcond=None)[0], float)


def sound(shots: Sequence[Shot]) -> list[Shot]:
    """Without the few whose correction runs away on some fry: such colours lie on no scale, and would rule the rest."""
    return [shot for shot in shots if np.linalg.norm(shot.fry_error, axis=-1).max() <= _RUN_AWAY]


def learn(shots: Sequence[Shot], colours: FloatArray) -> LearntMetamerism:
    """Principal directions of the patches' errors about zero, and what fries do along them.

    About zero, not about the mean: where the patches fit, nothing must be made of the fries.
    """
    shots = sound(shots)
    patches = np.array([patch_means(shot, colours).ravel() for shot in shots])
    fries = np.array([tone_coefficients(shot).ravel() for shot in shots])
    second = patches.T @ patches / len(shots)
    power, direction = np.linalg.eigh(second)
    power, direction = power[::-1][:MODES], direction[:, ::-1][:, :MODES]
    amounts = patches @ direction / np.sqrt(power)
    fry_modes = fries.T @ amounts / len(shots)
    rest = fries - amounts @ fry_modes.T
    patch_rest = np.sqrt(np.mean((patches - amounts * np.sqrt(power) @ direction.T) ** 2, 0))
    return LearntMetamerism(
        colours=colours,
        patch_modes=(direction * np.sqrt(power)).reshape(len(colours), 3, MODES),
        patch_rest=patch_rest.reshape(-1, 3),
        fry_modes=fry_modes.reshape(-1, 3, MODES),
        fry_rest=rest.T @ rest / len(shots),
        degrees=DEGREES,
    )


def write_learnt(learnt: LearntMetamerism, file: Path, *, shots: int) -> None:
    """As TOML, three decimals."""
    lines = [
        "# How fries and the patches of a card go off together by metamerism, CIELAB. Learnt, not typed:",
        f"# python -m tests.spectral   ({shots} drawn photographs). Read by grader/colour/metamerism.py.",
        f"degrees = {learnt.degrees}",
    ]
    for name in ("colours", "patch_rest", "patch_modes", "fry_modes", "fry_rest"):
        values = getattr(learnt, name)
        rows = values.reshape(-1, 3) if values.shape[-1] == 3 else values.reshape(-1, values.shape[-1])
        lines += [f"{name} = [", *(f"    [{', '.join(f'{v:.3f}' for v in row)}]," for row in rows), "]"]
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
