"""The counter of code lines counts code, and nothing else."""

from tests.tools.code_size import code_lines

TEXT = '''"""What it is.

Over three lines.
"""

# Why.
import os  # a comment beside code


def here() -> str:
    """Say where."""
    return """two
lines""" + os.sep
'''


def test_only_lines_of_code_count() -> None:
    """Neither docstrings nor comments nor blank lines; a text of two lines is two."""
    assert code_lines(TEXT) == 4
