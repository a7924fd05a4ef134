"""What shows beside the fries: spots of table and plate, sorted into surfaces by the edges between them."""

from typing import cast

import cv2
import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from grader.arrays import ByteArray, Float32Array, FloatArray, IntArray, LabelArray, MaskArray, PixelArray
from grader.card.model import FoundSheet
from grader.card.plane import pixels_to_sheet, px_per_mm
from grader.colour.gates import BareSpots
from grader.photo.shrinking import shrunk
from grader.photo.srgb import linear_light

_SPOT_MM = 2.0
_SPOT_CELLS = 4
"""Across a spot, of whole pixels each, where it has so many: the photo is shrunk to them first."""
_FRY_REACH_MM = 8.0
"""So near to a fry its shadow and its own yellow light lie on the plate."""
_CARD_MARGIN_MM = 3.0
_DARKEST, _BRIGHTEST = 0.01, 0.98
_STEP = (0.12, 0.2, 0.15)
"""From spot to spot, natural logarithms of R/G, G/B and G: more is an edge between surfaces, less a light that changes.
The edge of a warm lamp's pool stays below even where it is no wider than 16 mm."""
_LEAST_SPOTS = 80
"""In a surface beside a card, enough to follow the light by. A mat's field is one surface, however cut up by fries."""
_HIGHEST_NUMBER = int(np.iinfo(np.uint16).max)
_EVERY = 2
"""Spots handed on, across and down."""


def bare_spots(pixels: PixelArray, sheet: FoundSheet, labels: LabelArray) -> BareSpots:
    """Spots beside the fries and beside a card; on a mat, of the mat's own field.

    Parameters
    ----------
    pixels, labels
        (h, w, 3) and (h, w): the photo, and where its fries are.
    """
    spot_px = _SPOT_MM * px_per_mm(sheet)
    cell_px = max(1, int(spot_px / _SPOT_CELLS))
    cells = shrunk(pixels, cell_px)
    height, width = (cell_px * side for side in cells.shape[:2])
    size = max(1, round(width / spot_px)), max(1, round(height / spot_px))
    light = linear_light(cast("PixelArray", cv2.resize(cells, size, interpolation=cv2.INTER_AREA)))
    xy_mm = _places_mm(sheet, size, (width, height))
    fries = shrunk(cast("ByteArray", cv2.inRange(labels, 1, _HIGHEST_NUMBER)), cell_px)
    bare = ~_near(fries, size) & _place_counts(sheet, xy_mm)
    bare &= (light.min(axis=2) > _DARKEST) & (light.max(axis=2) < _BRIGHTEST)
    surface = _surfaces(light, bare, least=1 if sheet.layout.field else _LEAST_SPOTS)
    keep = np.zeros_like(bare)
    keep[::_EVERY, ::_EVERY] = surface[::_EVERY, ::_EVERY] >= 0
    return BareSpots(
        xy_mm=xy_mm[keep], rgb=np.asarray(light[keep], float), surface=np.asarray(surface[keep], np.uint16)
    )


def _places_mm(sheet: FoundSheet, size: tuple[int, int], photo: tuple[int, int]) -> FloatArray:
    x, y = ((np.arange(n) + 0.5) * whole / n - 0.5 for n, whole in zip(size, photo, strict=True))
    grid = np.stack(np.meshgrid(x, y), axis=-1)
    return pixels_to_sheet(sheet, grid.reshape(-1, 2)).reshape(grid.shape)


def _near(fries: ByteArray, size: tuple[int, int]) -> MaskArray:
    share = cv2.resize(fries, size, interpolation=cv2.INTER_AREA)
    radius = round(_FRY_REACH_MM / _SPOT_MM)
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * radius + 1, 2 * radius + 1))
    return np.asarray(cv2.dilate((share > 0).astype(np.uint8), disc) > 0)


def _place_counts(sheet: FoundSheet, xy_mm: FloatArray) -> MaskArray:
    """Beside a card; on a mat's field."""
    field = sheet.layout.field
    if field is not None:
        past = np.array([field.x_mm, field.y_mm]), np.array([field.width_mm, field.height_mm])
        inside = (xy_mm > past[0] + _CARD_MARGIN_MM) & (xy_mm < past[0] + past[1] - _CARD_MARGIN_MM)
        return np.asarray(inside.all(axis=-1))
    size = np.array([sheet.layout.width_mm, sheet.layout.height_mm])
    return np.asarray(((xy_mm < -_CARD_MARGIN_MM) | (xy_mm > size + _CARD_MARGIN_MM)).any(axis=-1))


def _on_an_edge(tone: Float32Array) -> MaskArray:
    """(h, w) spots whose neighbours differ too much.

    Along an edge a little askew, spots that hold more and more of one surface would link it to the other.
    """
    block = np.ones((3, 3), np.uint8)
    spread = np.stack([cv2.dilate(one, block) - cv2.erode(one, block) for one in np.moveaxis(tone, -1, 0)], axis=-1)
    return np.asarray((spread > 2 * np.array(_STEP)).any(axis=-1))


def _surfaces(light: Float32Array, bare: MaskArray, *, least: int) -> IntArray:
    """(h, w) number of the surface each spot belongs to, -1 where none: spots linked where no edge lies between."""
    logs = np.log(np.maximum(light, 1e-4))
    tone = np.stack([logs[..., 0] - logs[..., 1], logs[..., 1] - logs[..., 2], logs[..., 1]], axis=-1)
    bare = bare & ~_on_an_edge(tone)
    number = np.arange(bare.size).reshape(bare.shape)
    pairs = []
    for first, second in ((np.s_[1:, :], np.s_[:-1, :]), (np.s_[:, 1:], np.s_[:, :-1])):
        linked = bare[first] & bare[second] & (np.abs(tone[first] - tone[second]) < _STEP).all(axis=-1)
        pairs.append(np.stack([number[first][linked], number[second][linked]]))
    one, other = np.concatenate(pairs, axis=1)
    graph = coo_matrix((np.ones(len(one), np.uint8), (one, other)), shape=(bare.size, bare.size))
    _, part = connected_components(graph, directed=False)
    large = (np.bincount(part)[part] >= least) & bare.ravel()
    surface = np.full(bare.size, -1)
    surface[large] = np.unique(part[large], return_inverse=True)[1]
    return np.asarray(surface.reshape(bare.shape), np.int64)
