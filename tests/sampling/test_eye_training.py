import numpy as np

from grader.sampling.eye_training import AGAIN_SHARE, APART, next_to_call


def test_plates_come_back_as_often_as_is_said_and_never_at_once() -> None:
    rng = np.random.default_rng(3)
    plates = [str(k) for k in range(2000)]
    called: list[str] = []
    back = 0
    for _ in range(1500):
        drawn = next_to_call(plates, called, rng)
        assert drawn is not None
        plate, again = drawn
        assert again == (plate in called)
        assert plate not in called[-APART:]
        back += again
        called.append(plate)
    share = back / 1500
    assert abs(share - AGAIN_SHARE) < 4 * np.sqrt(AGAIN_SHARE * (1 - AGAIN_SHARE) / 1500)


def test_when_all_were_called_old_ones_come_back() -> None:
    plates = ["a", "b", "c", "d", "e"]
    plate, again = next_to_call(plates, plates, np.random.default_rng(0)) or ("", False)
    assert again
    assert plate in {"a", "b"}


def test_where_nothing_can_be_shown_there_is_none() -> None:
    assert next_to_call([], ["a"], np.random.default_rng(0)) is None
    assert next_to_call(["a"], ["a"], np.random.default_rng(0)) is None
