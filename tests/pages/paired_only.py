"""The served page with this machine's own visits to be paired too, so that a browser here is a stranger."""

import streamlit as st

from grader.places import app_file
from grader.serving import only_paired
from grader.serving.door import door

only_paired.from_here = lambda scope: scope is None

app = st.App(app_file(), middleware=door())
