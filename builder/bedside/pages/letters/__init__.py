"""Answer a letter: its page, and the table that the reader of letters needs."""
