"""How the tables came to be, version by version; each is a module that is never edited once it was used."""
