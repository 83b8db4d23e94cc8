"""What people have told when they come to a result: walks, cases, letters, old links.

Everything is drawn with a fixed seed, so a failure comes back.
"""

import random
from collections.abc import Iterator

from bedside.measure.asking import finished, walked
from bedside.measure.cases import through_questions
from bedside.measure.gardeners import draw_gardeners, hasty
from bedside.model.records import Plant
from bedside.reason.evidence import Evidence, Findings
from bedside.reason.findings import findings_of, format_fragment
from bedside.reason.next_look import usual_walk

GARDENERS_A_CAUSE = 3
LINKS = 150
SEED = 20261128


def told_findings(plant: Plant, evidence: Evidence) -> tuple[Findings, ...]:
    """Some hundred sets of findings, each once."""
    draw = random.Random(SEED)
    found = (
        *_walks(plant, evidence, draw),
        *_cases(plant, evidence),
        *(usual_walk(evidence, plant.tree, cause) for cause in evidence.causes),
        *_links(evidence, draw),
    )
    return tuple({format_fragment(each): each for each in found}.values())


def _walks(plant: Plant, evidence: Evidence, draw: random.Random) -> Iterator[Findings]:
    # Hasty gardeners, for they contradict themselves; and each once stopped on the way.
    gardeners = draw_gardeners(evidence, hasty(evidence), GARDENERS_A_CAUSE)
    for walk in walked(evidence, gardeners, finished(evidence, plant.tree)):
        yield walk
        yield dict(list(walk.items())[: draw.randint(1, len(walk))])


def _cases(plant: Plant, evidence: Evidence) -> Iterator[Findings]:
    for case in plant.cases:
        findings = findings_of(evidence, case.findings).findings
        yield findings
        yield through_questions(plant.tree, evidence, case, findings)


def _links(evidence: Evidence, draw: random.Random) -> Iterator[Findings]:
    # Any answers together, as far as an address may hold them.
    for _ in range(LINKS):
        signs = draw.sample(sorted(evidence.signs), draw.randint(0, 6))
        said = [draw.choice([*evidence.signs[it].answers, it]) for it in signs]
        yield findings_of(evidence, said).findings
