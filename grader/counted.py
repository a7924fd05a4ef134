"""So many of something, in English words."""


def counted(number: int, what: str) -> str:
    """1 batch, 2 batches, 0 plates."""
    if number == 1:
        return f"1 {what}"
    return f"{number} {what}{'es' if what.endswith('ch') else 's'}"
