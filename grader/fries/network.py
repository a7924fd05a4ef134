"""The small network itself, run by ONNX Runtime in eight bits.

Whole numbers times whole numbers, on all processors the same; only its first and last convolution are of floats, in
whose last digits processors may differ (`calibration/network/README.md` says how it was rounded).
"""

from functools import cache

import cv2
import onnxruntime

from grader.arrays import Float32Array
from grader.places import calibration_folder

DEEPEST = 16
"""It halves its picture four times: heights and widths must be multiples of this."""
_ERRORS_ONLY = 3


def run_network(picture: Float32Array) -> Float32Array:
    """What it says of a picture (12, h, w): (14, h, w), as `calibration/network/model.py` has it."""
    (said,) = _session(cv2.getNumThreads()).run(None, {"picture": picture[None]})
    whole: Float32Array = said[0]
    return whole


@cache
def _session(threads: int) -> onnxruntime.InferenceSession:
    """One that keeps no memory between pictures, and whose threads sleep while they have nothing to do.

    Pictures aren't laid out anew for the two convolutions of other numbers: it is no faster here, and takes 60 MB more.
    """
    how = onnxruntime.SessionOptions()
    how.intra_op_num_threads = threads
    how.enable_cpu_mem_arena = False
    how.graph_optimization_level = onnxruntime.GraphOptimizationLevel.ORT_ENABLE_EXTENDED
    how.log_severity_level = _ERRORS_ONLY
    how.add_session_config_entry("session.intra_op.allow_spinning", "0")
    file = calibration_folder() / "network" / "fries.onnx"
    return onnxruntime.InferenceSession(str(file), how, providers=["CPUExecutionProvider"])
