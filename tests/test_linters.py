"""What a person would otherwise have to remember to run: style, types, the strict check."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TOOLS = {
    "style": ("ruff", "check", "."),
    "layout": ("ruff", "format", "--check", "."),
    "types": ("mypy",),
    "knowledge": ("bedside", "check", "--strict"),
}


@pytest.mark.parametrize("tool", TOOLS)
@pytest.mark.slow
def test_the_tree_is_clean(tool: str) -> None:
    """Each tool of the house finds nothing, warnings of the knowledge included."""
    done = subprocess.run(
        (sys.executable, "-m", *TOOLS[tool]), cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_readme_promises_two_commands() -> None:
    """A README with a third set-up command, or without one of the two, fails."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    commands = [block for block in text.split("```")[1::2] if "venv" in block]
    assert len(commands) == 2
    assert "bedside serve" in commands[0]
    assert "pytest" in commands[1]
