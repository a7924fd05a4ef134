"""Words and style that all pages share."""

import streamlit as st

CAUTION = (
    "Colour is not doneness: it says nothing of the temperature inside, of acrylamide or of safety. Follow your local "
    "food code and your own food safety plan. Take the sample from the pass, not from the fryer."
)
PRIVACY = "Photos stay on the machine that runs this page; nothing is sent anywhere else and nothing is kept."

_STYLE = """<style>
.stMainBlockContainer { padding: 4rem 1rem 3rem; }
@media (max-width: 480px) {
  .stMainBlockContainer { padding: 3.6rem 0.7rem 2rem; }
  h1 { font-size: 1.7rem !important; }
}
.fg-band { display: flex; gap: 0.9rem; align-items: flex-start; color: #fff; border-radius: 0.6rem; padding: 0.9rem; }
.fg-band img { flex: none; margin-top: 0.1rem; }
.fg-line { padding: 0.5rem 0.8rem; }
div:has(> .st-key-preview-band) { position: sticky; top: 3.75rem; z-index: 90; }
.fg-word { font-size: 1.7rem; font-weight: 800; line-height: 1.1; letter-spacing: 0.02em; }
.fg-head { font-size: 1.05rem; margin-top: 0.3rem; }
.fg-small { font-size: 0.9rem; margin-top: 0.4rem; }
.fg-both { display: grid; grid-template-columns: 1fr 1fr; gap: 0.6rem; margin: 0.6rem 0; }
.fg-half { border: 1px solid; border-left-width: 6px; border-radius: 0.4rem; padding: 0.5rem 0.6rem; }
.fg-half .fg-small { margin-top: 0.2rem; }
.fg-outcome { display: flex; gap: 0.4rem; align-items: center; margin-top: 0.2rem; }
.fg-limit { display: flex; gap: 0.7rem; padding: 0.65rem 0; border-top: 1px solid rgba(128,128,128,0.3); }
.fg-limit img { flex: none; margin-top: 0.15rem; }
.fg-limit b { display: block; }
</style>"""


def page_style() -> None:
    """Less margin than Streamlit's own, so that a phone shows more of a plate; and the look of verdicts."""
    st.html(_STYLE)
