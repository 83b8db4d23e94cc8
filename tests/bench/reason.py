"""How long the arithmetic takes on a made-up plant of the size planned for.

    python tests/bench/reason.py

Prints the times and fails if the report of 40 causes and 50 signs takes over 10 seconds.
"""

import json
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from builder.reason.browser import browser_table
from builder.reason.evidence import weigh
from builder.reason.looks import gains, looks
from builder.reason.quality import measure
from builder.reason.ranking import rank
from builder.reason.walks import most_telling_tree
from tests.made_up_plants import made_up_plant

CAUSES, SIGNS, QUESTIONS = 40, 50, 70
MOST_SECONDS = 10.0


def seconds(work: Callable[[], object]) -> float:
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def main() -> int:
    plant = made_up_plant(3, CAUSES, SIGNS)
    evidence = weigh(plant)
    asked = list(evidence.signs.values())
    findings = [
        {
            first.id: first.answers[0],
            second.id: second.answers[1],
            third.id: third.answers[-1],
        }
        for first in asked[:10]
        for second in asked[10:20]
        for third in asked[20:30]
    ]
    tree = most_telling_tree(evidence, QUESTIONS, 7)
    print(f"{CAUSES} causes, {SIGNS} signs, {QUESTIONS} questions")
    print(f"weigh           {seconds(lambda: weigh(plant)) * 1e3:9.2f} ms")
    each = seconds(lambda: [rank(evidence, found) for found in findings]) / len(findings)
    print(f"rank            {each * 1e6:9.1f} us")
    each = seconds(lambda: [gains(evidence, found) for found in findings]) / len(findings)
    print(f"gains           {each * 1e6:9.1f} us")
    each = seconds(lambda: [looks(evidence, found) for found in findings[:100]]) / 100
    print(f"looks, all told {each * 1e3:9.2f} ms")
    size = len(json.dumps(browser_table(evidence), separators=(",", ":")))
    print(f"browser table   {size / 1024:9.1f} KB")
    spent = seconds(lambda: measure(replace(plant, tree=tree), {}))
    print(f"report          {spent:9.2f} s (at most {MOST_SECONDS:.0f})")
    return 0 if spent <= MOST_SECONDS else 1


if __name__ == "__main__":
    raise SystemExit(main())
