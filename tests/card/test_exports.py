import grader.card


def test_what_is_exported_is_what_is_listed() -> None:
    visible = {
        name
        for name, value in vars(grader.card).items()
        if not name.startswith("_") and getattr(value, "__module__", "").startswith("grader.card.")
    }
    assert visible == set(grader.card.__all__)
