"""The web page, thin: widgets in, one call, results out."""
