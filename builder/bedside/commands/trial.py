"""`bedside try`: what the site would say to a few answers, without building it."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from bedside.commands.project import in_project, sound_library
from bedside.commands.terminal import CLEAN, PROBLEMS, known
from bedside.model.library import Library
from bedside.model.records import Plant
from bedside.reason.evidence import Context, Evidence, Findings, assumed, weigh
from bedside.reason.findings import findings_of
from bedside.reason.next_look import next_look
from bedside.reason.outcome import LookOffer, outcome
from bedside.reason.ranking import Ranking, families
from bedside.reason.scale import sureness

EXAMPLE = """\b
examples:
  bedside try PLANT ANSWER ANSWER
  bedside try PLANT ANSWER SIGN --zone ZONE --season SEASON --json

An answer is named by its id, as in a link. A sign's id means: asked, "I can't tell"."""
SHOWN_CAUSES = 6


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """What was typed after the command."""

    plant: str
    answers: tuple[str, ...]
    zone: str
    season: str
    equal: bool
    as_data: bool


@click.command(
    help="Rank the causes for a few answers, and name first step and next look.",
    short_help="rank the causes for a few answers",
    epilog=EXAMPLE,
)
@click.argument("plant")
@click.argument("answers", nargs=-1)
@click.option("--zone", default="", help="where: an id of zones.yaml")
@click.option("--season", default="", help="when: an id of zones.yaml")
@click.option("--equal", is_flag=True, help="take all causes as equally common")
@click.option("--json", "as_data", is_flag=True, help="print data instead of text")
@in_project
def command(root: Path, /, **words: Any) -> int:
    """Rank, and print as text or data."""
    library, asked = sound_library(root, drafts=True), Asked(**words)
    if library is None:
        return PROBLEMS
    name = known(asked.plant, library.knowledge.plants, "plant")
    plant = library.knowledge.plants[name]
    evidence = weigh(plant)
    _refuse_unknown(asked.answers, evidence)
    parsed = findings_of(evidence, asked.answers)
    found = told(plant, evidence, parsed.findings, _context(asked, library))
    found["passed_over"] = [f"{note.token} ({note.kind})" for note in parsed.notes]
    as_data = json.dumps(found, indent=2, ensure_ascii=False)
    print(as_data if asked.as_data else as_text(found))
    return CLEAN


def told(
    plant: Plant, evidence: Evidence, findings: Findings, context: Context
) -> dict[str, Any]:
    """Say everything about some findings as plain data. Shares are from 0 to 1."""
    found = outcome(evidence, findings, context)
    onward = next_look(evidence, plant.tree, findings, context)
    step = plant.first_steps[found.step.step]
    return {
        "findings": dict(findings),
        "causes": _causes(plant, found.ranking),
        "assumed": _assumed(plant, findings, found.ranking.causes[:SHOWN_CAUSES]),
        "families": [
            {"id": it.id, "called": plant.families[it.id].called, "share": it.share}
            for it in families(evidence, found.ranking)
        ],
        "unsure": found.head.kind == "open",
        "named": found.head.id,
        "first_step": {
            "id": found.step.step,
            "do": step.says(findings.values()),
            "right": found.step.right,
            "wasted": found.step.wasted,
            "harmful": found.step.harmful,
        },
        "asked_next": onward.sign if onward else "",
        "look": _look(plant, found.look) if found.look else None,
    }


def as_text(found: dict[str, Any]) -> str:
    """Say the same in lines of text."""
    lines = ["told:        " + (_told(found["findings"]) or "nothing yet")]
    if found["passed_over"]:
        lines.append("passed over: " + ", ".join(found["passed_over"]))
    lines.append("")
    lines += [
        f"{it['share']:6.3f}  {it['name']}  ({it['sureness']}, {it['in_ten']} in 10)"
        for it in found["causes"][:SHOWN_CAUSES]
    ]
    lines += [f"{it['share']:6.3f}  together: {it['called']}" for it in found["families"]]
    lines += [
        f"assumed:     {it['answer']} is usually seen ({it['sign']}), as no more is said, "
        f"with {', '.join(it['causes'])}"
        for it in found["assumed"]
    ]
    step = found["first_step"]
    lines += ["", f"first step:  {step['do']}"]
    lines.append(
        f"             right {step['right']:.2f}, wasted {step['wasted']:.2f}, "
        f"harmful {step['harmful']:.2f}"
    )
    if found["asked_next"]:
        lines.append(f"asked next:  {found['asked_next']}")
    if found["look"]:
        look = found["look"]
        lines.append(f"one more look: {look['question']} [{look['sign']}]")
        lines += [
            f"             {it['answer']}: chance {it['chance']:.2f}, then"
            f" {it['named'] or 'still open'}"
            for it in look["answers"]
        ]
    return "\n".join(lines)


def _refuse_unknown(answers: Iterable[str], evidence: Evidence) -> None:
    names = (*evidence.answers, *evidence.signs)
    for answer in answers:
        known(answer, names, "answer or sign")


def _context(asked: Asked, library: Library) -> Context:
    knowledge = library.knowledge
    if asked.zone:
        known(asked.zone, knowledge.zones, "zone")
    if asked.season:
        known(asked.season, knowledge.seasons, "season")
    return Context(zone=asked.zone, season=asked.season, equal=asked.equal)


def _causes(plant: Plant, ranking: Ranking) -> list[dict[str, Any]]:
    rows = []
    for cause, share in zip(ranking.causes, ranking.shares, strict=True):
        said = sureness(share)
        name = plant.causes[cause].name
        rows.append({"id": cause, "name": name, "share": share, "sureness": said.word,
                     "in_ten": said.tenths})  # fmt: skip
    return rows


def _assumed(
    plant: Plant, findings: Findings, causes: Iterable[str]
) -> list[dict[str, Any]]:
    """The normal answer of each sign that was told, where a cause does not mention it."""
    rows = []
    for sign in (plant.signs[it] for it in findings):
        silent = [it for it in causes if assumed(sign, plant.causes[it])]
        if silent:
            rows.append({"sign": sign.id, "answer": sign.normal, "causes": silent})
    return rows


def _look(plant: Plant, look: LookOffer) -> dict[str, Any]:
    return {
        "sign": look.sign,
        "question": plant.signs[look.sign].question,
        "answers": [
            {
                "answer": it.answer,
                "chance": it.chance,
                "named": it.head.id,
                "share": it.head.share,
                "first_step": it.step,
            }
            for it in look.answers
        ],
    }


def _told(findings: Findings) -> str:
    return ", ".join(
        f"{sign} = {answer or 'not sure'}" for sign, answer in findings.items()
    )
