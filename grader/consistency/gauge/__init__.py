"""The study of the method itself: the same plates read by several people, phones and lights."""
