"""Question by question to a result: its pages, and the data for its scripts."""
