"""The page: `streamlit run app.py`."""

import streamlit as st

from grader.pages.components.acting import let_in, show_login, who_acts
from grader.pages.components.manners import show_manners
from grader.pages.components.page_list import pages_for
from grader.pages.components.visit import hold_visit
from grader.requirements_check import missing

st.set_page_config(page_title="Fry grader", page_icon="🍟", layout="centered")

lacking = missing()
if lacking is not None:
    st.error(lacking)
    st.stop()
if not let_in():
    show_manners()
    st.stop()

# In a list at the side, opened wholly: a row above folds away most of so many pages. Without sections: Streamlit puts
# their names between a list's entries, where those who hear the page lose the list.
st.navigation(pages_for(who_acts()), expanded=True).run()
show_login()
show_manners()
hold_visit()
