"""The web page, thin: widgets in, one call, results out."""

from grader.language import ask_for_language
from grader.pages.components.manners import session_language

ask_for_language(session_language)
