"""The development letters with their findings entered by hand: the arithmetic without the
reader of letters.
"""

from collections.abc import Mapping
from typing import Any

from bedside.reason.evidence import Context, Evidence
from bedside.reason.findings import findings_of
from bedside.reason.ranking import headline, rank
from bedside.reason.steps import choose_first_step
from tests.knowledge.letters_read import Reading, Shares, development, letters, measured

FLAGS = {"too-little": "asks", "other-plant": "other"}


def entered() -> Mapping[str, Mapping[str, Any]]:
    """Findings by letter."""
    found: Mapping[str, Mapping[str, Any]] = letters("findings.yml")
    return found


def reading(evidence: Evidence, letter: Mapping[str, Any]) -> Reading:
    """What a result page would say to these findings."""
    parsed = findings_of(evidence, letter["findings"])
    assert not parsed.notes, parsed.notes
    place = Context(zone=letter.get("zone", ""), season=letter.get("season", ""))
    ranking = rank(evidence, parsed.findings, place)
    return {
        "enough": headline(evidence, ranking).kind != "open",
        "ranking": [{"cause": cause} for cause in ranking.first(3)],
        "firstStep": choose_first_step(evidence, ranking, parsed.findings).step,
    }


def scored(evidence: Evidence) -> Shares:
    """Count hits and right steps, and questions back where a letter says too little."""
    by_hand = entered()
    wanted = development()
    return measured(wanted, [reading(evidence, by_hand[it.id]) for it in wanted])
