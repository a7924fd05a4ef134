"""Where the house's login stands: Streamlit's own section [auth], in a file of the house's data."""

from pathlib import Path

from grader.errors import GraderError
from grader.places import home_folder

LOGIN_FILE = "login.toml"


class LoginNotSetUpError(GraderError, RuntimeError):
    """Roles without a login, or a login without roles: nobody comes in until both are there."""


def login_options(folder: Path | None = None) -> list[str]:
    """What tells Streamlit of the house's login when it is started; nothing where there is none."""
    file = (folder or home_folder()) / LOGIN_FILE
    return ["--secrets.files", str(file)] if file.exists() else []
