"""The fry line: what a lot of potatoes is like before it is cut, and what may be made of it."""
