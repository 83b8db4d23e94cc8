"""On paper: the sheets in the box, the print stack, and the key."""
