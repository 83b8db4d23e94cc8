"""How sure we are: the measures as charts on one page."""
