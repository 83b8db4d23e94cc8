"""The year of a place: warmth from day to day, and what it brings."""
