"""`python -m tests.spectral`: what `grader.colour.metamerism` knows, and the table of what card and light bring.

Writes calibration/metamerism.toml and calibration/metamerism.md, in some minutes.
"""

import argparse
from pathlib import Path

import numpy as np
from rich.progress import track

from grader.arrays import FloatArray
from grader.card import load_layouts
from grader.colour.metamerism import LEARNT_FILE
from grader.places import calibration_folder
from tests.spectral.bench import Shot, draw_shot
from tests.spectral.learning import learn, write_learnt
from tests.spectral.lights import CIE_NAMES, Light, cie_light, starving_lights
from tests.spectral.report import report

CARD = "card-a6"
TABLE_FILE = "metamerism.md"


def card_colours() -> FloatArray:
    """(24, 3) CIELAB of the card's patches."""
    layout = next(layout for layout in load_layouts() if layout.key == CARD)
    return np.array([patch.lab for patch in layout.patches])


def draw_shots(count: int, rng: np.random.Generator, *, light: Light | None = None) -> list[Shot]:
    """Photographs at random of that card, under drawn lights or one."""
    colours = card_colours()
    return [
        draw_shot(colours, rng, light=light)
        for _ in track(range(count), description=light.name if light else "drawn lights")
    ]


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.spectral", description=__doc__)
    parser.add_argument("--shots", type=int, default=2400, help="under drawn lights, which are learnt from")
    parser.add_argument("--each", type=int, default=40, help="under each CIE illuminant, for the table alone")
    parser.add_argument("--out", type=Path, default=calibration_folder(), help="where both files go")
    chosen = parser.parse_args()
    colours, rng = card_colours(), np.random.default_rng(1)
    drawn = draw_shots(chosen.shots, rng)
    write_learnt(learn(drawn, colours), chosen.out / LEARNT_FILE, shots=len(drawn))
    named = [shot for name in CIE_NAMES for shot in draw_shots(chosen.each, rng, light=cie_light(name))]
    rng = np.random.default_rng(2)
    starved = [shot for light in starving_lights() for shot in draw_shots(chosen.each // 2, rng, light=light)]
    (chosen.out / TABLE_FILE).write_text(report(drawn, named, starved, colours), encoding="utf-8")


if __name__ == "__main__":
    main()
