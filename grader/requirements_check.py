"""What the machine itself must bring, told in one line: a wheel of OpenCV can be installed and still not start."""

import importlib
import importlib.util
import re

DEBIAN_PACKAGES = {"libGL.so.1": "libgl1", "libgthread-2.0.so.0": "libglib2.0-0", "libglib-2.0.so.0": "libglib2.0-0"}
"""Which Debian or Ubuntu package brings a shared library that OpenCV's wheel wants."""

_INSTALL = "Install this program once more: python -m pip install -e ."
_LIBRARY = re.compile(r"(\S+\.so[.\d]*): cannot open shared object file")


def explained(error: ImportError) -> str:
    """One line for a person: what keeps OpenCV from starting, and what to do about it."""
    found = _LIBRARY.search(str(error))
    if found is None:
        return f"OpenCV can't be loaded ({error}). {_INSTALL}"
    package = DEBIAN_PACKAGES.get(found[1])
    if package is None:
        return f"OpenCV needs {found[1]}, which this machine lacks. Install the system package that brings it."
    return f"OpenCV needs {found[1]}, which this machine lacks. On Debian or Ubuntu: apt-get install -y {package}"


def missing() -> str | None:
    """What this machine lacks, in one line; None where OpenCV starts and the runtime of the network is there."""
    try:
        importlib.import_module("cv2")
    except ImportError as error:
        return explained(error)
    if importlib.util.find_spec("onnxruntime") is None:  # not loaded: that takes too long for a start
        return f"ONNX Runtime isn't installed, and this edition of the program needs it. {_INSTALL}"
    return None
