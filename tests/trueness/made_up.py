"""Readings of a kit drawn from known biases and spreads; nothing here was measured."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from grader.card import load_layouts
from grader.card_values import CardValues, Method, designed_values
from grader.fries.model import Measured
from grader.trueness.comparing import SeenPhoto, make_study
from grader.trueness.model import COLOURS, LENGTHS, Compared, Kit, Piece, Quantity
from grader.trueness.schedule import KitSize, plan_kit
from grader.trueness.study import Study

LIGHTS = ("daylight from the window", "kitchen tubes", "pass lamps")


@dataclass(frozen=True, kw_only=True)
class Off:
    """How far readings are off: a bias, and standard deviations from piece to piece, photo to photo, and the rest."""

    bias: float = 0.0
    pieces: float = 0.0
    photos: float = 0.0
    rest: float = 0.0
    raised: float = 0.0
    by_size: float = 0.0
    places: tuple[float, ...] = (0.0,) * 9


def kit(*, bars: int = 24, chips: int = 15, lights: Sequence[str] = LIGHTS, number: int = 1) -> Kit:
    """A kit all of whose pieces are measured."""
    rng = np.random.default_rng(number)
    planned = plan_kit(KitSize(bars=bars, chips=chips), sheet="card-a6", lights=lights, rng=rng)
    pieces = tuple(_measured(piece, rng) for piece in planned.pieces)
    return replace(
        planned,
        print_run="K7Q2X",
        by="TH",
        length_reference="caliper, 0.01 mm",
        colour_reference="spectrophotometer, 45/0",
        pieces=pieces,
    )


def _measured(piece: Piece, rng: np.random.Generator) -> Piece:
    if piece.kind == "bar":
        length, width = float(rng.uniform(35, 85)), float(rng.uniform(7, 12))
        return replace(
            piece, length_mm=Measured(value=round(length, 2), u=0.05), width_mm=Measured(value=round(width, 2), u=0.05)
        )
    lab = rng.uniform((40, 2, 18), (76, 14, 38))
    L, a, b = (Measured(value=round(float(channel), 2), u=0.3) for channel in lab)
    return replace(piece, lab=(L, a, b))


def readings(
    kit: Kit, off: Off, rng: np.random.Generator, *, only: Sequence[Quantity] = (*LENGTHS, *COLOURS), u: float = 1.0
) -> list[Compared]:
    """Every laying of every piece, read with those errors; the reference is taken as exact."""
    compared: list[Compared] = []
    quantities = {
        "bar": [quantity for quantity in LENGTHS if quantity in only],
        "chip": [quantity for quantity in COLOURS if quantity in only],
    }
    by_name = {piece.name: piece for piece in kit.pieces}
    of_piece = {(q, p.name): rng.normal(0, off.pieces) for p in kit.pieces for q in quantities[p.kind]}
    for photo in kit.photos:
        for quantity in quantities[photo.kind]:
            of_photo = rng.normal(0, off.photos) + off.raised * (photo.raised_mm > 0)
            for laid in photo.laid:
                for name in laid.pieces:
                    known = by_name[name].known(quantity)
                    assert known is not None
                    error = off.bias + of_piece[quantity, name] + of_photo + off.places[laid.place - 1]
                    error += off.by_size * known.value + rng.normal(0, off.rest)
                    compared.append(
                        Compared(
                            piece=name,
                            photo=photo.name,
                            light=photo.light,
                            place=laid.place,
                            raised_mm=photo.raised_mm,
                            quantity=quantity,
                            read=Measured(value=known.value + error, u=u),
                            known=replace(known, u=0.0),
                        )
                    )
    return compared


def study(
    off: Off,
    rng: np.random.Generator,
    *,
    met_bars: int = 24,
    met_chips: int = 15,
    light_off: tuple[str, float] | None = None,
) -> Study:
    """A study of readings that are off by so much; under one light colours may be off by more."""
    planned = kit()
    met = {f"B{number:02}" for number in range(1, met_bars + 1)} | {f"C{n:02}" for n in range(1, met_chips + 1)}
    compared = [one for one in readings(planned, off, rng) if one.piece in met]
    if light_off is not None:
        compared = [
            replace(one, read=replace(one.read, value=one.read.value + light_off[1]))
            if one.light == light_off[0] and one.quantity in COLOURS
            else one
            for one in compared
        ]
    seen = [
        SeenPhoto(
            planned=photo,
            sha256="ab" * 32,
            compared=tuple(one for one in compared if one.photo == photo.name),
            met=len({one.piece for one in compared if one.photo == photo.name}),
            not_met=(),
            without_value=0,
            strangers=0,
        )
        for photo in planned.photos
    ]
    return make_study(planned, seen, values=values(), made_on=date(2026, 11, 25), method_version="1")


def values(
    method: Method = "instrument", *, run: str = "K7Q2X", expires_on: date = date(2027, 6, 1), sheet: str = "card-a6"
) -> CardValues:
    """Values of a print run of 1 November 2026: as designed, whatever the method says."""
    layout = next(one for one in load_layouts() if one.key == sheet)
    designed = designed_values(layout, run=run, printed_on=date(2026, 11, 1), expires_on=expires_on, by="TH")
    return replace(designed, method=method)
