"""What the pages are made of: each a function from results to widgets, or from widgets to what was chosen."""
