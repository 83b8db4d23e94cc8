"""Run some code where nothing is as it is here: a process of its own, another time zone."""

import subprocess
import sys

from tests.conftest import ROOT


def said_far_away(code: str) -> str:
    """What the code prints there; it fails if the code does."""
    other = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env={"TZ": "Asia/Tokyo"},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return other.stdout.strip()
