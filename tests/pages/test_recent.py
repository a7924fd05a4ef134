import pytest

from grader.pages.components.recent import Recent


def test_the_oldest_are_forgotten_and_what_failed_is_not_kept() -> None:
    made: list[str] = []
    recent: Recent[str, int] = Recent(2)

    def make(name: str) -> int:
        made.append(name)
        if name == "burst":
            raise ZeroDivisionError
        return len(made)

    for name in ("a", "b", "a", "c", "a", "b"):
        recent.recall(name, lambda name=name: make(name))  # type: ignore[misc]
    assert made == ["a", "b", "c", "b"]
    for _ in range(2):
        with pytest.raises(ZeroDivisionError):
            recent.recall("burst", lambda: make("burst"))
    assert made[-2:] == ["burst", "burst"]
