"""What is kept of a graded photo, as files that people and other programs read."""
