"""What Streamlit is started with: the page for this machine, or behind its door for the house's network."""
