"""The values of one print run of one sheet: what its patches, its paper and its field have in print.

All cards of a print run (one printer, one ink, one paper, one day) share them; a card of another run does not.
"""

from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.card.model import Layout

Method = Literal["instrument", "chart", "designed"]
"""How the values came about: read by a colour instrument; photographed beside a trusted chart; not at all, they are
what the layout asks the printer for."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AsRead:
    """The readings of one card as they came in, before anything was converted or averaged.

    Attributes
    ----------
    white
        The white that they are relative to.
    quantity
        What was handed in: CIELAB, XYZ or spectral reflectance (integrated here for D65, 2 degree observer).
    patch_lab
        (n, 3) CIELAB in that white, in the layout's order of patches.
    base_lab, field_lab
        (3,) the same of the bare paper and of a mat's field (None on a card).
    source, source_sha256
        Name and SHA-256 of the file that they came in.
    """

    white: Literal["D50", "D65"]
    quantity: Literal["lab", "xyz", "spectrum"]
    patch_lab: FloatArray
    base_lab: FloatArray
    field_lab: FloatArray | None
    source: str
    source_sha256: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CardValues:
    """What one print run of one sheet is known to be.

    Attributes
    ----------
    run
        The print run, as it stands in the serial of each of its cards.
    layout
        Key of the sheet's layout.
    patch_lab, patch_lab_u
        (n, 3) CIELAB, CIE 1931 2 degree observer, D65, in the layout's order of patches, and standard uncertainties
        (k = 1). The uncertainty includes the instrument (or the photographs) and the spread of the run's cards; for
        designed values it is 0 and means nothing: what the printer did to them is not known.
    base_lab, base_lab_u
        (3,) the bare paper.
    field_lab, field_lab_u
        (3,) a mat's field; None on a card.
    method
        Where they come from.
    measured_on, expires_on
        The day of the measurement (of printing, where nothing was measured) and the last day on which they count.
    measured_by
        Initials.
    instrument
        What measured them, in words: make-independent facts (geometry, filter, backing, lights), as its user states.
    as_read
        The readings before conversion, one entry a card; none where values were not handed in but made here.
    """

    run: str
    layout: str
    patch_lab: FloatArray
    patch_lab_u: FloatArray
    base_lab: FloatArray
    base_lab_u: FloatArray
    field_lab: FloatArray | None
    field_lab_u: FloatArray | None
    method: Method
    measured_on: date
    expires_on: date
    measured_by: str
    instrument: str
    as_read: tuple[AsRead, ...] = ()

    @property
    def measured(self) -> bool:
        """The print was measured; else the values are those that the printer was asked for."""
        return self.method != "designed"

    def expired(self, on: date) -> bool:
        """Whether the values are too old on that day; the last day still counts."""
        return on > self.expires_on


def designed_values(layout: Layout, *, run: str, printed_on: date, expires_on: date, by: str) -> CardValues:
    """A print run that nobody has measured: its layout's own colours, uncertainty 0 (see `CardValues`)."""
    patch_lab = np.array([patch.lab for patch in layout.patches], float)
    field_lab = None if layout.field_lab is None else frozen(np.array(layout.field_lab, float))
    return CardValues(
        run=run,
        layout=layout.key,
        patch_lab=frozen(patch_lab),
        patch_lab_u=frozen(np.zeros_like(patch_lab)),
        base_lab=frozen(np.array(layout.base_lab, float)),
        base_lab_u=frozen(np.zeros(3)),
        field_lab=field_lab,
        field_lab_u=None if field_lab is None else frozen(np.zeros(3)),
        method="designed",
        measured_on=printed_on,
        expires_on=expires_on,
        measured_by=by,
        instrument="",
    )
