"""Where data lie: those that ship with the program, in the checkout or inside the installed package; the user's own."""

import os
from pathlib import Path

from platformdirs import user_data_path

HOME_VARIABLE = "FRY_GRADER_HOME"
"""The environment variable that moves the user's own data to another folder."""

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


def server_file(name: str) -> Path:
    """What Streamlit is started with: "alone" for this machine, "house" for the house's network."""
    return _PACKAGE / "served" / f"{name}.py"


def home_folder() -> Path:
    """The folder of the user's own data (values of cards, records of their drift); it need not exist yet."""
    own = os.environ.get(HOME_VARIABLE)
    return Path(own).expanduser() if own else user_data_path("fry-grader", appauthor=False)
