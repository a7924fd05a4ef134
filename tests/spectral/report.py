"""The table of what card and light must bring: calibration/metamerism.md."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from grader.colour import ciede2000
from grader.colour.metamerism import LearntMetamerism, food_error, reveal_food_bias
from tests.spectral.bench import Shot
from tests.spectral.learning import learn, sound

# Noise that a photo adds to each patch's CIELAB (reading, print), drawn when a correction is put to the test.
_NOISE_LAB = 0.35
_THIRDS = ("pale", "middle", "brown")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcome:
    """Fries of many shots, (s, m, 3) CIELAB: error as corrected by the card, what is left, its stated uncertainty.

    And each shot's scale (s,), see `FoodBias`.
    """

    before: FloatArray
    after: FloatArray
    stated_u: FloatArray
    scale: FloatArray


def put_to_test(shots: Sequence[Shot], learnt: LearntMetamerism, rng: np.random.Generator) -> Outcome:
    """Correct shots that were not learnt from, their patches read with noise."""
    before, after, stated, scale = [], [], [], []
    for shot in shots:
        read = shot.patch_error + rng.normal(0, _NOISE_LAB, shot.patch_error.shape)
        bias = reveal_food_bias(shot.patch_lab, read, learnt=learnt)
        told = food_error(bias, shot.fry_lab)
        before.append(shot.fry_error)
        after.append(shot.fry_error - told.lab_shift)
        stated.append(told.lab_u)
        scale.append(bias.scale)
    return Outcome(before=np.array(before), after=np.array(after), stated_u=np.array(stated), scale=np.array(scale))


def rms(values: FloatArray) -> FloatArray:
    """(3,) root mean square of (s, m, 3)."""
    return np.asarray(np.sqrt((values**2).mean((0, 1))), float)


def coverage(outcome: Outcome) -> FloatArray:
    """(3,) share of fries that 1.96 stated standard uncertainties cover."""
    return np.asarray((np.abs(outcome.after) < 1.96 * outcome.stated_u).mean((0, 1)), float)


def report(drawn: Sequence[Shot], named: Sequence[Shot], starved: Sequence[Shot], colours: FloatArray) -> str:
    """The whole file: drawn lights to learn from; CIE lights, and lights for no fry, that nothing was learnt from."""
    rng = np.random.default_rng(0)
    met, unmet = sound(drawn), [shot for shot in sound(named) if shot.family != "smooth"]
    runaways = len(drawn) + len(named) - len(met) - len(sound(named))
    everyone = [shot for shot in (*named, *starved) if shot.family != "smooth"]
    sections = [
        _HEAD.format(drawn=len(met), named=len(unmet), runaways=runaways),
        "## What the card's correction leaves on fries",
        *(_errors(head, unmet, key) for head, key in (("Light", _light), ("Camera", _camera), ("Inks", _family))),
        "## What is left when the patches tell",
        _LEFT_WORDS,
        *_left_tables(met, unmet, colours, rng),
        "## Lights that leave too much",
        _STARVED_WORDS,
        _starved(everyone, learn(met, colours), rng),
    ]
    return "\n\n".join(sections) + "\n"


def _left_tables(
    met: Sequence[Shot], unmet: Sequence[Shot], colours: FloatArray, rng: np.random.Generator
) -> Iterator[str]:
    """CIE illuminants; kinds of light, inks and cameras, each left out in turn; surfaces that are all smooth."""
    inks = [shot for shot in met if shot.family != "smooth"]
    smooth = [shot for shot in met if shot.family == "smooth"]

    def without(names: Callable[[Shot], set[str]]) -> Callable[[str], LearntMetamerism]:
        return lambda name: learn([shot for shot in met if name not in names(shot)], colours)

    yield _left("CIE illuminant", unmet, _light, lambda _: learn(met, colours), rng)
    yield _left(
        "Kind of light left out", inks, _kind, without(lambda shot: {*_light(shot).split(" and "), _kind(shot)}), rng
    )
    yield _left("Inks left out", inks, _colorant, without(lambda shot: {_colorant(shot)}), rng)
    yield _left("Camera left out", inks, _camera, without(lambda shot: {_camera(shot)}), rng)
    yield _left("All surfaces", smooth[::2], _family, lambda _: learn([*inks, *smooth[1::2]], colours), rng)


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


_STARVED_WORDS = """CIE 2000 difference of a plate's fries, before and after, and `FoodBias.scale`, by which such a
light is told. No shot is left out here."""


def _light(shot: Shot) -> str:
    return shot.light


def _kind(shot: Shot) -> str:
    return shot.light if " and " not in shot.light else "mixed"


def _camera(shot: Shot) -> str:
    return shot.camera


def _family(shot: Shot) -> str:
    return shot.family


def _colorant(shot: Shot) -> str:
    return shot.family.split(",")[0]


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
    """CIE 2000 differences of a light's fries before and after, and the scale that tells that light."""
    rows = []
    for name, group in _groups(shots, _light).items():
        outcome = put_to_test(group, learnt, rng)
        true = np.array([shot.fry_lab - shot.fry_error for shot in group])
        before, after = (ciede2000(true + off, true).mean(1) for off in (outcome.before, outcome.after))
        rows.append([name, str(len(group)), *(_median_and_high(values) for values in (before, after, outcome.scale))])
    head = ["Light", "shots", *(f"{what}: median, 90th" for what in ("before", "after", "scale"))]
    return _table(head, rows)


def _median_and_high(values: FloatArray) -> str:
    return ", ".join(f"{value:.1f}" for value in np.quantile(values, [0.5, 0.9]))
