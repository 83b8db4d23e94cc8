"""The year of a place, the way to it, its calendar; and label arithmetic."""
