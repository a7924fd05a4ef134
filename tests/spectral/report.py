"""The table of what card and light must bring: calibration/metamerism.md."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from grader.colour.metamerism import LearntMetamerism, food_error, reveal_food_bias
from tests.spectral.bench import Shot
from tests.spectral.learning import learn, sound

# Noise that a photo adds to each patch's CIELAB (reading, print), drawn when a correction is put to the test.
_NOISE_LAB = 0.35
_THIRDS = ("pale", "middle", "brown")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcome:
    """Fries of many shots, (s, m, 3) CIELAB: error as corrected by the card, what is left, its stated uncertainty."""

    before: FloatArray
    after: FloatArray
    stated_u: FloatArray


def put_to_test(shots: Sequence[Shot], learnt: LearntMetamerism, rng: np.random.Generator) -> Outcome:
    """Correct shots that were not learnt from, their patches read with noise."""
    before, after, stated = [], [], []
    for shot in shots:
        read = shot.patch_error + rng.normal(0, _NOISE_LAB, shot.patch_error.shape)
        told = food_error(reveal_food_bias(shot.patch_lab, read, learnt=learnt), shot.fry_lab)
        before.append(shot.fry_error)
        after.append(shot.fry_error - told.lab_shift)
        stated.append(told.lab_u)
    return Outcome(before=np.array(before), after=np.array(after), stated_u=np.array(stated))


def rms(values: FloatArray) -> FloatArray:
    """(3,) root mean square of (s, m, 3)."""
    return np.asarray(np.sqrt((values**2).mean((0, 1))), float)


def coverage(outcome: Outcome) -> FloatArray:
    """(3,) share of fries that 1.96 stated standard uncertainties cover."""
    return np.asarray((np.abs(outcome.after) < 1.96 * outcome.stated_u).mean((0, 1)), float)


def report(drawn: Sequence[Shot], named: Sequence[Shot], colours: FloatArray) -> str:
    """The whole file: drawn lights to learn from, named ones (CIE) that nothing was learnt from."""
    rng = np.random.default_rng(0)
    runaways = len(drawn) + len(named) - len(sound(drawn)) - len(sound(named))
    drawn, named = sound(drawn), sound(named)
    inks = [shot for shot in drawn if shot.family != "smooth"]
    smooth = [shot for shot in drawn if shot.family == "smooth"]
    printed = [shot for shot in named if shot.family != "smooth"]
    return (
        "\n\n".join(
            [
                _HEAD.format(drawn=len(drawn), named=len(printed), runaways=runaways),
                "## What the card's correction leaves on fries",
                _errors("Light", printed, lambda shot: shot.light),
                _errors("Camera", printed, lambda shot: shot.camera),
                _errors("Inks", printed, lambda shot: shot.family),
                _errors("All surfaces smooth", smooth, lambda shot: shot.family),
                "## What is left when the patches tell",
                _LEFT_WORDS,
                _left("CIE illuminant", printed, lambda shot: shot.light, lambda _: learn(drawn, colours), rng),
                _left(
                    "Kind of light left out",
                    inks,
                    _first_kind,
                    lambda left: _learn_without(drawn, colours, _kinds, left),
                    rng,
                ),
                _left(
                    "Inks left out",
                    inks,
                    lambda s: s.family.split(",")[0],
                    lambda left: _learn_without(drawn, colours, _dye_or_pigment, left),
                    rng,
                ),
                _left(
                    "Camera left out",
                    inks,
                    lambda s: s.camera,
                    lambda left: _learn_without(drawn, colours, lambda s: {s.camera}, left),
                    rng,
                ),
                _left(
                    "All surfaces smooth",
                    smooth[::2],
                    lambda s: s.family,
                    lambda _: learn([*inks, *smooth[1::2]], colours),
                    rng,
                ),
                "## Lights that leave too much",
                _starved(printed, learn(drawn, colours), rng),
            ]
        )
        + "\n"
    )


_HEAD = """# Metamerism: what card and light bring

Made by `python -m tests.spectral`. No picture is rendered: spectra of lights, cameras, inks and fries, the
project's own fit on the card's patches, then the fries' CIELAB (D65) as corrected less what they are. {drawn} shots
under drawn lights, {named} under CIE illuminants; each with its own camera, print and lot of potatoes. Shapes of
spectra and where they come from: REFERENCES.md, "Metamerism". Fries and inks are drawn from a model; no real fry's
spectrum was at hand. {runaways} more shots are not counted: the correction ran away on some fry, by more than 25."""

_LEFT_WORDS = """Root mean square of all fries, CIELAB, before and after the shift that
`grader/colour/metamerism.py` takes off, the patches read with noise. The CIE illuminants were never learnt from; in
the other tables what is named was left out of the learning. The last column: share of fries within 1.96 stated
standard uncertainties (0.95 is right)."""


def _first_kind(shot: Shot) -> str:
    return shot.light if " and " not in shot.light else "mixed"


def _kinds(shot: Shot) -> set[str]:
    return {*shot.light.split(" and "), _first_kind(shot)}


def _dye_or_pigment(shot: Shot) -> set[str]:
    return {shot.family.split(",")[0]}


def _learn_without(
    shots: Sequence[Shot], colours: FloatArray, names: Callable[[Shot], set[str]], left_out: str
) -> LearntMetamerism:
    return learn([shot for shot in shots if left_out not in names(shot)], colours)


def _groups(shots: Sequence[Shot], key: Callable[[Shot], str]) -> dict[str, list[Shot]]:
    return {name: [shot for shot in shots if key(shot) == name] for name in dict.fromkeys(map(key, shots))}


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    return "\n".join(f"| {' | '.join(row)} |" for row in (head, ["---"] * len(head), *rows))


def _triple(values: FloatArray, sign: str = "") -> str:
    return ", ".join(f"{value:{sign}.1f}" for value in values)


def _errors(head: str, shots: Sequence[Shot], key: Callable[[Shot], str]) -> str:
    """Mean error by tone, and the sd over shots of a plate's mean."""
    rows = []
    for name, group in _groups(shots, key).items():
        error = np.array([shot.fry_error for shot in group])
        thirds = [_triple(part.mean((0, 1)), "+") for part in np.array_split(error, 3, axis=1)]
        rows.append([name, str(len(group)), *thirds, _triple(error.mean(1).std(0))])
    return _table([head, "shots", *(f"{tone}: dL*, da*, db*" for tone in _THIRDS), "sd between shots"], rows)


def _left(
    head: str,
    shots: Sequence[Shot],
    key: Callable[[Shot], str],
    learnt: Callable[[str], LearntMetamerism],
    rng: np.random.Generator,
) -> str:
    """Before and after, group by group; `learnt` of a group's name is what may be known when it is met."""
    rows = []
    for name, group in _groups(shots, key).items():
        outcome = put_to_test(group, learnt(name), rng)
        rows.append(
            [
                name,
                str(len(group)),
                _triple(rms(outcome.before)),
                _triple(rms(outcome.after)),
                _triple(outcome.after.mean((0, 1)), "+"),
                ", ".join(f"{share:.2f}" for share in coverage(outcome)),
            ]
        )
    return _table([head, "shots", "rms before", "rms after", "mean after", "covered"], rows)


def _starved(shots: Sequence[Shot], learnt: LearntMetamerism, rng: np.random.Generator) -> str:
    """What the stated uncertainty of a* or b* says of how far a middling fry still is off."""
    outcome = put_to_test(shots, learnt, rng)
    middle = outcome.after.shape[1] // 2
    left = np.linalg.norm(outcome.after[:, middle], axis=-1)
    stated = np.linalg.norm(outcome.stated_u[:, middle], axis=-1)
    lights = np.array([shot.light for shot in shots])
    rows = []
    for low, high in ((0.0, 1.0), (1.0, 1.5), (1.5, 2.0), (2.0, 3.0), (3.0, np.inf)):
        within = (stated >= low) & (stated < high)
        if within.any():
            often = sorted({name: int((lights[within] == name).sum()) for name in lights}.items(), key=lambda n: -n[1])
            named = ", ".join(f"{name} {count}" for name, count in often[:4] if count)
            share = f"{(left[within] > 3).mean():.2f}"
            rows.append([f"{low:g} to {high:g}", str(within.sum()), f"{np.median(left[within]):.1f}", share, named])
    return _table(["stated, L* a* b* together", "shots", "left: median", "left: share above 3", "most often"], rows)
