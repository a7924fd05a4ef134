"""colour-science, without the warning that it gives where matplotlib is missing."""

import warnings

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour

__all__ = ["colour"]
