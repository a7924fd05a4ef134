"""What people do in the house through the page, each deed behind the duty that it takes.

Pages call these and never what stands behind them: a test looks. The command line is the house computer's own and asks
nobody. A module an area, so that a page loads only what it needs.
"""
