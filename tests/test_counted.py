import pytest

from grader.counted import counted


@pytest.mark.parametrize(
    ("number", "what", "told"),
    [(0, "plate", "0 plates"), (1, "plate", "1 plate"), (1, "batch", "1 batch"), (2, "batch", "2 batches")],
)
def test_one_is_no_many(number: int, what: str, told: str) -> None:
    assert counted(number, what) == told
