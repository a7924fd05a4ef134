"""The page's own words, said in the language that is spoken now."""

from grader.language.catalogues import catalogue
from grader.language.chosen import current_language


def tr(english: str, /, **values: object) -> str:
    """A text in the current language, with `values` put where it says {name}; English where nobody translated it.

    Without values braces stay as they are.
    """
    told = catalogue(current_language()).gettext(english)
    return told.format(**values) if values else told


def trn(one: str, many: str, n: int, /, **values: object) -> str:
    """`one` or `many`, by n, which is also put where the text says {n}."""
    return catalogue(current_language()).ngettext(one, many, n).format(n=n, **values)


def said(english: str, /) -> str:
    """Marks a text for the catalogues where it is written; `tr` tells it where it is shown."""
    return english
