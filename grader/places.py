"""Where the data that ship with the program lie: in the checkout, or inside the installed package."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _shipped(name: str) -> Path:
    packed = _PACKAGE / f"_{name}"
    return packed if packed.exists() else _PACKAGE.parent / name


def calibration_folder() -> Path:
    """The folder with the card layouts and the house standards that ship."""
    return _shipped("calibration")


def sample_folder() -> Path:
    """The folder with the sample photographs (rendered, invented)."""
    return _shipped("sample_images")


def app_file() -> Path:
    """The page's entry file, which Streamlit runs."""
    packed = _PACKAGE / "_app.py"
    return packed if packed.exists() else _PACKAGE.parent / "app.py"
