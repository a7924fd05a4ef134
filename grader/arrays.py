"""Names for the arrays that travel between the rooms, and the one way to freeze one."""

from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Float32Array = NDArray[np.float32]
ByteArray = NDArray[np.uint8]
PixelArray = NDArray[np.uint8] | NDArray[np.uint16]
LabelArray = NDArray[np.uint16]
MaskArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]
Box = tuple[slice, slice]
"""Rows and columns of a picture."""

AnyArray = TypeVar("AnyArray", bound=NDArray[Any])


def frozen(array: AnyArray) -> AnyArray:
    """The same array, marked read-only: results are values, nobody edits one in place."""
    array.setflags(write=False)
    return array
