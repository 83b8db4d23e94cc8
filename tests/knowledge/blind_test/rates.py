"""Work out the rates of a blind test from what its readers said.

    python tests/knowledge/blind_test/rates.py

prints, for each round and reader, how many drawings were matched to their answers' words
and how many were named, with Wilson's 95 % range.
"""

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import yaml

RESULTS = Path(__file__).parent / "results.yaml"
_Z = 1.96  # standard errors either side that hold 95 %


def read_results() -> dict[str, Any]:
    """Read the rounds and the list of drawings not yet read."""
    return dict(yaml.safe_load(RESULTS.read_text(encoding="utf-8")))


def matched(answered: Mapping[str, Mapping[str, str]]) -> dict[str, bool]:
    """Say of each answer, over all questions, whether its drawing got its own words."""
    return {a: a == chose for said in answered.values() for a, chose in said.items()}


def count(right: Iterable[bool]) -> tuple[int, int]:
    """Count how many are right, and of how many."""
    each = list(right)
    return sum(each), len(each)


def wilson(right: int, of: int) -> tuple[float, float]:
    """Give the 95 % range of a share (Wilson 1927)."""
    share, spread = right / of, _Z**2 / of
    middle = (share + spread / 2) / (1 + spread)
    half = _Z / (1 + spread) * (share * (1 - share) / of + spread / (4 * of)) ** 0.5
    return middle - half, middle + half


def lines(results: Mapping[str, Any]) -> list[str]:
    """Write a row of a table for each round, reader and task."""
    rows = []
    for it in results["rounds"]:
        for reader in it["readers"]:
            named = count(said["named"] for said in it["named"][reader].values())
            pairs = count(matched(it["matches"][reader]).values())
            for task, (right, of) in (("matched", pairs), ("named", named)):
                low, high = wilson(right, of)
                rows.append(
                    f"| {it['round']} | {reader} | {task} | {right} of {of} | "
                    f"{right / of:.0%} | {low:.0%} to {high:.0%} |"
                )
    return rows


if __name__ == "__main__":
    print("\n".join(lines(read_results())))
