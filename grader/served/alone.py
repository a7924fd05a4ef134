"""The page for this machine only, as `python -m grader demo` starts it: `streamlit run` takes the app from here."""

import streamlit as st

from grader.places import app_file
from grader.served.warming import load_pages

app = st.App(app_file())
load_pages()
