"""Frozen records, and the library that holds them: no disk, no arithmetic."""
