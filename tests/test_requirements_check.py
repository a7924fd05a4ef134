"""A machine without the shared libraries that OpenCV's wheel wants is told so in one line."""

import subprocess
import sys
from pathlib import Path

import pytest

from grader.requirements_check import explained, missing

# As the dynamic linker words it (glibc, "%s: cannot open shared object file: No such file or directory").
LINKER = "{}: cannot open shared object file: No such file or directory"


@pytest.mark.parametrize(("library", "package"), [("libGL.so.1", "libgl1"), ("libgthread-2.0.so.0", "libglib2.0-0")])
def test_the_debian_package_is_named(library: str, package: str) -> None:
    line = explained(ImportError(LINKER.format(library)))
    assert library in line
    assert line.endswith(f"apt-get install -y {package}")
    assert "\n" not in line


def test_another_library_is_named_all_the_same() -> None:
    assert "libodd.so.7" in explained(ImportError(LINKER.format("libodd.so.7")))


def test_opencv_that_is_not_there_is_told() -> None:
    assert "pip install" in explained(ModuleNotFoundError("No module named 'cv2'"))


def test_a_program_that_was_updated_but_not_installed_anew_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "onnxruntime", None)
    line = missing()
    assert line is not None
    assert "ONNX Runtime" in line
    assert line.endswith("python -m pip install -e .")


def test_nothing_is_missing_here() -> None:
    assert missing() is None


def test_the_program_ends_with_that_one_line(tmp_path: Path) -> None:
    """A cv2 that fails as the real one does without libGL stands first on the path."""
    (tmp_path / "cv2.py").write_text(f"raise ImportError({LINKER.format('libGL.so.1')!r})\n", encoding="utf-8")
    root = Path(__file__).parent.parent
    code = f"import sys; sys.path[:0] = [{str(tmp_path)!r}, {str(root)!r}]\n"
    code += "from grader.cli import main\nmain()\n"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert done.stderr.strip() == explained(ImportError(LINKER.format("libGL.so.1")))
