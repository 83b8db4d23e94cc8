"""From disk to records: every value knows its file, line and column."""
