"""The page behind its door, as `python -m grader serve` starts it: `streamlit run` takes the app from here."""

import streamlit as st

from grader.places import app_file
from grader.served.warming import load_pages
from grader.serving.door import door

app = st.App(app_file(), middleware=door())
load_pages()
