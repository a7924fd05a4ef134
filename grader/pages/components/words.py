"""Words and style that all pages share."""

import streamlit as st

from grader.language import SOURCE, current_language, said, tr

CAUTION = said(
    "Colour is not doneness: it says nothing of the temperature inside, of acrylamide or of safety. Follow your local "
    "food code and your own food safety plan. Take the sample from the pass, not from the fryer."
)
PRIVACY = said(
    "Photos stay on the machine that runs this page; nothing is sent anywhere else, and nothing is kept unless you "
    "keep the plates in the records."
)

_STYLE = """<style>
.stMainBlockContainer { padding: 4rem 1rem 3rem; }
@media (max-width: 480px) {
  .stMainBlockContainer { padding: 3.6rem 0.7rem 2rem; }
  h1 { font-size: 1.7rem !important; }
}
@media (max-width: 480px), (pointer: coarse) {
  :is(.stButton, .stFormSubmitButton, .stDownloadButton, .stButtonGroup) button,
  [data-testid="stExpander"] summary { min-height: 2.75rem; }
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
[data-testid="stCaptionContainer"] { color: #50545c; opacity: 1 !important; }
.st-key-pass-shoot [data-testid="stFileUploaderDropzone"] { min-height: 7rem; justify-content: center; }
.st-key-pass-shoot [data-testid="stFileUploaderDropzone"] button {
  min-height: 5.5rem; min-width: 12rem; font-size: 1.3rem; font-weight: 700; background: #7a3b00; color: #fff; }
.st-key-pass-shoot [data-testid="stFileUploaderDropzone"] button p { font-size: 0; }
.st-key-pass-shoot [data-testid="stFileUploaderDropzoneInstructions"] { display: none; }
.st-key-pass-shoot label p { font-size: 1.2rem; font-weight: 700; }
:is(.st-key-pass_finish, .st-key-pass_lifted, [class*="st-key-call_"], [class*="st-key-train_"]) button {
  min-height: 3.5rem; font-size: 1.1rem; }
</style>"""


_UPLOADER = """<style>
[data-testid="stFileUploaderDropzone"] [data-testid="stBaseButton-secondary"] p { font-size: 0; }
[data-testid="stFileUploaderDropzone"] [data-testid="stBaseButton-secondary"]::after { content: "%s"; }
[data-testid="stFileUploaderDropzoneInstructions"] > * { display: none; }
[data-testid="stFileUploaderDropzoneInstructions"]::after { content: "%s"; font-size: 0.875rem; color: #50545c; }
</style>"""
"""Streamlit's own words where files go are in English only. They shrink to nothing: a button whose words are taken away
has no name for those who hear the page."""


def page_style() -> None:
    """Less margin than Streamlit's own, so that a phone shows more of a plate; and the look of verdicts."""
    st.html(_STYLE)
    if current_language() != SOURCE:
        megabytes = st.get_option("server.maxUploadSize")
        st.html(_UPLOADER % (tr("Choose a file"), tr("At most {mb} MB a file", mb=megabytes)))
