"""The browser's arithmetic against Python's, in a real browser."""

import json
import random
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import ArrayLike
from playwright.sync_api import Browser, Page, Route

from bedside.model.records import Plant
from bedside.reason.browser_tables import browser_table, browser_tree
from bedside.reason.evidence import Context, Evidence, weigh
from bedside.reason.findings import format_fragment
from bedside.reason.next_look import next_look
from bedside.reason.outcome import Then, outcome
from bedside.reason.ranking import families, headline, rank, two_troubles
from bedside.reason.scale import sureness
from bedside.reason.steps import choose_first_step, gate
from tests.fragments import parse_fragment
from tests.made_up_plants import SEASONS, ZONES, sensitive_plant
from tests.reason.looks import looks

ASSETS = Path(__file__).parents[2] / "site_src" / "assets"
PURE = ("reason.js", "next_look.js", "outcome.js")
CLOSE = 1e-9
PLANTS = 4
SETS = 250  # for each plant: a thousand in all

# As text both ways: the driver takes far longer over nested lists than JSON does.
ASK = """(given) => {
const [table, tree, asked] = JSON.parse(given);
return JSON.stringify(asked.map(({findings, context, text}) => {
  const r = reason.rank(table, findings, context);
  const checks = Object.keys(table.checks);
  return {
    ranking: r,
    looks: reason.looks(table, findings, context),
    families: reason.families(table, r),
    headline: reason.headline(table, r),
    step: reason.firstStep(table, r, findings),
    two: reason.twoTroubles(table, findings, context),
    sure: r.shares.map((share) => reason.sureness(table, share)),
    gates: checks.map((cause) => ["hand", "narrow-spray", "last-resort"].map((tier) =>
      reason.gate(table, cause, tier, findings, r.shares[table.causes.indexOf(cause)]))),
    parsed: reason.parseFragment(table, text),
    text: reason.formatFragment(findings),
    next: next.nextLook(table, tree, findings, context),
    outcome: outcome.outcome(table, findings, context),
  };
}));
}"""


@pytest.fixture(scope="module")
def page(browser: Browser) -> Iterator[Page]:
    """A blank page that has the three modules of arithmetic, and nothing else."""

    def serve(route: Route) -> None:
        name = route.request.url.rpartition("/")[2]
        if name.endswith(".js"):
            text = (ASSETS / name).read_text(encoding="utf-8")
            route.fulfill(body=text, content_type="text/javascript")
        else:
            route.fulfill(body="<!doctype html>", content_type="text/html")

    made = browser.new_page()
    made.route("**/*", serve)
    made.goto("http://arithmetic.example/")
    made.evaluate(
        """async () => {
          globalThis.reason = await import("/reason.js");
          globalThis.next = await import("/next_look.js");
          globalThis.outcome = await import("/outcome.js");
        }"""
    )
    yield made
    made.close()


def made_up_findings(draw: random.Random, evidence: Evidence) -> dict[str, str | None]:
    asked = draw.sample(
        sorted(evidence.signs), k=draw.randint(0, min(9, len(evidence.signs)))
    )
    return {sign: draw.choice((None, *evidence.signs[sign].answers)) for sign in asked}


def made_up_text(draw: random.Random, evidence: Evidence) -> str:
    tokens = [
        *evidence.answers,
        *evidence.signs,
        "nosuch",
        "A",
        "",
        "__proto__",
        "é💐" * 30,
    ]
    return "#" * draw.randint(0, 2) + ".".join(draw.choices(tokens, k=draw.randint(0, 12)))


def made_up_words(draw: random.Random, evidence: Evidence) -> list[tuple[str, int]]:
    causes = draw.sample((*evidence.causes, "nosuch"), k=draw.choice((0, 0, 1, 2, 3)))
    return [(cause, draw.randint(1, 4)) for cause in causes]


def made_up_questions(seed: int, evidence: Evidence) -> list[dict[str, Any]]:
    draw = random.Random(seed)
    return [
        {
            "findings": made_up_findings(draw, evidence),
            "context": {
                "zone": draw.choice(("", "nowhere", *ZONES)),
                "season": draw.choice(("", *SEASONS)),
                "equal": draw.random() < 0.2,
                "words": made_up_words(draw, evidence),
            },
            "text": made_up_text(draw, evidence),
        }
        for _ in range(SETS)
    ]


@pytest.mark.parametrize("seed", range(PLANTS))
def test_the_browser_computes_what_python_computes(page: Page, seed: int) -> None:
    """On 250 sets of findings a plant: skips, groups, needs, places, seasons, junk."""
    plant = sensitive_plant(seed, causes=20, signs=20)
    evidence = weigh(plant)
    asked = made_up_questions(seed, evidence)
    given = json.dumps([browser_table(evidence), browser_tree(plant.tree), asked])
    answers = json.loads(page.evaluate(ASK, given))
    assert len(answers) == SETS
    for question, answer in zip(asked, answers, strict=True):
        where = question["context"]
        context = Context(**{**where, "words": tuple(map(tuple, where["words"]))})
        same_ranking(evidence, question["findings"], context, answer)
        same_looks(evidence, question["findings"], context, answer["looks"])
        same_advice(evidence, question["findings"], context, answer)
        assert answer["text"] == format_fragment(question["findings"])
        parsed = parse_fragment(evidence, question["text"])
        assert answer["parsed"]["findings"] == parsed.findings
        notes = [(note["kind"], note["token"]) for note in answer["parsed"]["notes"]]
        assert notes == [(note.kind, note.token) for note in parsed.notes]
        same_next(evidence, plant, question["findings"], context, answer["next"])
        same_outcome(evidence, question["findings"], context, answer["outcome"])


def assert_close(theirs: ArrayLike, ours: ArrayLike) -> None:
    # Far quicker over a million shares than pytest's own comparison.
    assert np.abs(np.subtract(theirs, ours)).max() <= CLOSE


def same_ranking(
    evidence: Evidence, findings: dict[str, Any], context: Context, answer: dict[str, Any]
) -> None:
    ours, theirs = rank(evidence, findings, context), answer["ranking"]
    assert_close(theirs["shares"], ours.vector)
    by_place = [evidence.causes[place] for place in theirs["order"]]
    assert_close([ours.share(cause) for cause in by_place], ours.shares)
    assert theirs["open"] == ours.open


def same_looks(
    evidence: Evidence, findings: dict[str, Any], context: Context, theirs: list[Any]
) -> None:
    ours = {look.sign: look for look in looks(evidence, findings, context)}
    assert {look["sign"] for look in theirs} == set(ours)
    for place, look in enumerate(theirs):
        mine = ours[look["sign"]]
        assert_close(look["gain"], mine.gain)
        assert_close(look["worth"], mine.worth)
        assert_close(look["worth"], list(ours.values())[place].worth)
        for said, answer in zip(look["answers"], mine.answers, strict=True):
            assert said["id"] == answer.answer
            assert_close(said["chance"], answer.chance)
            assert_close(said["shares"], answer.ranking.vector)


def same_advice(
    evidence: Evidence, findings: dict[str, Any], context: Context, answer: dict[str, Any]
) -> None:
    ranking = rank(evidence, findings, context)
    best = headline(evidence, ranking)
    shown = answer["headline"]
    assert (shown["kind"], shown["id"], tuple(shown["within"])) == (
        best.kind, best.id, best.within,
    )  # fmt: skip
    ours = [(family.id, family.causes) for family in families(evidence, ranking)]
    assert [(f["id"], tuple(f["causes"])) for f in answer["families"]] == ours
    step = choose_first_step(evidence, ranking, findings)
    assert answer["step"]["step"] == step.step
    for name in ("right", "wasted", "harmful"):
        assert_close(answer["step"][name], getattr(step, name))
    two = two_troubles(evidence, findings, context)
    assert_close(answer["two"]["share"], two.share)
    for theirs, pair in zip(answer["two"]["pairs"], two.pairs, strict=True):
        assert_close(theirs["share"], pair.share)
    words = [(s["word"], s["tenths"]) for s in answer["sure"]]
    assert words == [(s.word, s.tenths) for s in map(sureness, ranking.vector.tolist())]
    for (cause, check), tiers in zip(evidence.checks.items(), answer["gates"], strict=True):
        for tier, theirs in zip(
            ("hand", "narrow-spray", "last-resort"), tiers, strict=True
        ):
            mine = gate(check, tier, findings, ranking.share(cause))
            assert (theirs["open"], theirs["check"], theirs["sure"], theirs["needed"]) == (
                mine.open, mine.check, mine.sure, mine.needed,
            )  # fmt: skip


def same_next(
    evidence: Evidence,
    plant: Plant,
    findings: dict[str, Any],
    context: Context,
    theirs: dict[str, str] | None,
) -> None:
    ours = next_look(evidence, plant.tree, findings, context)
    assert theirs == (asdict(ours) if ours else None)


def same_outcome(
    evidence: Evidence, findings: dict[str, Any], context: Context, theirs: dict[str, Any]
) -> None:
    ours = outcome(evidence, findings, context)
    assert (theirs["head"]["kind"], theirs["head"]["id"]) == (ours.head.kind, ours.head.id)
    assert theirs["step"]["step"] == ours.step.step
    assert tuple(theirs["also"]) == ours.also
    told = [(it["sign"], it["answer"], it["supports"]) for it in theirs["reasons"]]
    assert told == [(it.sign, it.answer, it.supports) for it in ours.reasons]
    assert (theirs["look"] is None) == (ours.look is None)
    if ours.look:
        assert theirs["look"]["sign"] == ours.look.sign
        same_answers(theirs["look"]["answers"], ours.look.answers)
    assert (theirs["check"] is None) == (ours.check is None)
    if ours.check:
        assert theirs["check"]["state"] == ours.check.state
        for name in ("fits", "unsure", "other"):
            same_answers(theirs["check"][name], getattr(ours.check, name))


def same_answers(theirs: list[Any], ours: tuple[Then, ...]) -> None:
    rows = [(it["answer"], it["head"]["id"], it["step"]) for it in theirs]
    assert rows == [(it.answer, it.head.id, it.step) for it in ours]
    if ours:
        assert_close([it["chance"] for it in theirs], [it.chance for it in ours])


@pytest.mark.parametrize("name", PURE)
def test_the_modules_touch_no_page_and_no_network(name: str) -> None:
    """The arithmetic is pure: it names nothing of the page, its storage or the network."""
    source = (ASSETS / name).read_text(encoding="utf-8")
    for word in ("document", "window", "fetch", "location", "localStorage", "Math.random"):
        assert word not in source
