"""Over time: what changes from shift to shift, what differs between them, and what the method itself adds."""
