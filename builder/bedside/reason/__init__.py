"""Pure arithmetic on the records: no text, no files."""
