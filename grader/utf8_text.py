"""Text, or bytes of another system's alphabet that this one handed on as if they were some."""


def is_text(words: str) -> bool:
    """Whether words can be written as UTF-8: no file and no database keeps others."""
    try:
        words.encode()
    except UnicodeEncodeError:
        return False
    return True
