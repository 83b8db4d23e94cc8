"""How long the arithmetic takes on a made-up plant of the size planned for.

    python tests/bench/reason.py

Prints the times and fails if the report of 45 causes and 45 signs takes over two minutes of
the processor: half of them is what the first plant takes.
"""

import json
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from bedside.measure.quality import measure
from bedside.reason.browser_tables import browser_table
from bedside.reason.evidence import weigh
from bedside.reason.next_look import gains, next_look
from bedside.reason.outcome import outcome
from bedside.reason.ranking import rank
from tests.made_up_plants import sensitive_plant
from tests.reason.looks import looks

CAUSES, SIGNS = 45, 45
MOST_SECONDS = 120.0


def seconds(work: Callable[[], object]) -> float:
    begun = time.process_time()
    work()
    return time.process_time() - begun


def main() -> int:
    plant = sensitive_plant(3, CAUSES, SIGNS)
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
    print(f"{CAUSES} causes, {SIGNS} signs, times of the processor")
    print(f"weigh           {seconds(lambda: weigh(plant)) * 1e3:9.2f} ms")
    each = seconds(lambda: [rank(evidence, found) for found in findings]) / len(findings)
    print(f"rank            {each * 1e6:9.1f} us")
    each = seconds(lambda: [gains(evidence, found) for found in findings]) / len(findings)
    print(f"gains           {each * 1e6:9.1f} us")
    each = seconds(lambda: [looks(evidence, found) for found in findings[:100]]) / 100
    print(f"looks, all told {each * 1e3:9.2f} ms")
    each = seconds(lambda: [next_look(evidence, plant.tree, it) for it in findings])
    print(f"next look       {each / len(findings) * 1e3:9.2f} ms")
    each = seconds(lambda: [outcome(evidence, it).look for it in findings[:100]]) / 100
    print(f"look offered    {each * 1e3:9.2f} ms")
    size = len(json.dumps(browser_table(evidence), separators=(",", ":")))
    print(f"browser table   {size / 1024:9.1f} KB")
    spent = seconds(lambda: measure(plant, {}))
    print(f"report          {spent:9.2f} s (at most {MOST_SECONDS:.0f})")
    return 0 if spent <= MOST_SECONDS else 1


if __name__ == "__main__":
    raise SystemExit(main())
