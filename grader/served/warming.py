"""All that pages are made of is loaded before the server answers, so that no visitor waits for it."""

import importlib
import pkgutil

from grader.pages import components


def load_pages() -> None:
    """Load it; what can't be loaded is told by the page that needs it (`requirements_check`), not here."""
    for one in pkgutil.iter_modules(components.__path__):
        try:
            importlib.import_module(f"{components.__name__}.{one.name}")
        except ImportError:
            return
