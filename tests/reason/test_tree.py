"""The grower's tree: names of its questions, what is asked, and `bedside tree`."""

import random
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from bedside import checks
from bedside.cli import main
from bedside.commands import tree as command
from bedside.commands.terminal import PROBLEMS, UsageError
from bedside.measure.advice import better_looks, end_shares
from bedside.model.library import Library
from bedside.model.records import Plant, Sign, Tree
from bedside.problems import ERROR
from bedside.reason import scale
from bedside.reason.arrival import arrived, coming
from bedside.reason.evidence import Evidence, Findings, weigh
from bedside.reason.next_look import next_look
from bedside.reason.outcome import outcome
from tests.conftest import ROOT, read_clean
from tests.factories import make_cause, make_knowledge, make_sign, make_tree
from tests.made_up_plants import made_up_plant, plant_of
from tests.sweep import SWEEP

Printed = pytest.CaptureFixture[str]
HOLES = """\
Mossbell: 6 questions, 11 ends

What do you see on the leaves? (leaf-look)
- Holes or bitten edges (holes)
|   What lies on or under the leaves? (trace)
|   - Silver slime (slime) > Slime nibbler 0.79; 15.0 of 100
|   - Dark pellets (pellets) > Bell moth 0.63; not named here: Slime nibbler 0.23; 9.4 of 100
|   - any other answer, or can't tell (otherwise)
|   |   Where are the bites? (bite)
|   |   - In the middle (round-holes) > Slime nibbler 0.62; not named here: Bell moth 0.24; 4.9 of 100
|   |   - any other answer, or can't tell (otherwise) > Bell moth 0.32 or Slime nibbler 0.54; 7.7 of 100
- Brown spots (spots)
"""  # noqa: E501 - as wide as it is printed


def bedside_tree(root: Path, *words: str) -> int:
    with command.command.make_context("tree", [*words], obj=root) as context:
        code: int = command.command.invoke(context)
    return code


def drawn_tree(seed: int, signs: Mapping[str, Sign], causes: Mapping[str, Any]) -> Tree:
    """Any tree: signs in any order, some answers named, no sign twice on one way."""
    draw = random.Random(seed)

    def below(left: list[str], deep: int) -> Any:
        if deep == 0 or draw.random() < 0.2:
            return draw.choice(list(causes))
        sign = draw.choice(left)
        rest = [it for it in left if it != sign]
        answers = [it.id for it in signs[sign].all_answers]
        named = draw.sample(answers, draw.randint(0, len(answers)))
        return {sign: {way: below(rest, deep - 1) for way in (*named, "otherwise")}}

    first = draw.choice(list(signs))
    rest = [it for it in signs if it != first]
    answers = [it.id for it in signs[first].all_answers]
    return make_tree({first: {way: below(rest, 3) for way in (*answers, "otherwise")}})


def drawn_plants(count: int) -> Iterator[Plant]:
    """Made-up plants with drawn trees, and with questions that some answers make silly."""
    for seed in range(count):
        plant, draw = made_up_plant(seed), random.Random(seed)
        answers = [it.id for sign in plant.signs.values() for it in sign.all_answers]
        names = [*answers, *plant.signs]
        signs = {}
        for sign in plant.signs.values():
            silly = [it for it in draw.sample(names, 6) if not it.startswith(f"{sign.id}-")]
            silly = [it for it in silly if it != sign.id]
            signs[sign.id] = replace(sign, not_after=tuple(silly))
        yield replace(plant, signs=signs, tree=drawn_tree(seed, signs, plant.causes))


# What the records say of asking, read again without any of the code that asks.


@dataclass(frozen=True, kw_only=True)
class Rules:
    """For each sign: its answers, "none of these" among them, what it needs and forbids."""

    answers: Mapping[str, list[str]]
    none: Mapping[str, str]
    needs: Mapping[str, Mapping[str, list[str]]]
    not_after: Mapping[str, list[str]]

    def fault(self, findings: Findings, sign: str) -> str:
        """Why nobody who has told this may be asked a sign; empty if they may."""
        if sign in findings:
            return "answered"
        for needed, wanted in self.needs[sign].items():
            if findings.get(needed) not in wanted:
                return f"needs {needed}"
        if any(sign in self.needs[told] for told in findings):
            return "known from what needs it"
        for name in self.not_after[sign]:
            if name in findings.values():
                return f"not after {name}"
            told = findings.get(name)
            if name in self.answers and told is not None and told != self.none[name]:
                return f"not after {name} was told"
        return ""


def written_rules(folder: Path) -> Rules:
    """The rules as a grower wrote them."""
    signs = {
        path.stem: yaml.safe_load(path.read_text("utf-8"))
        for path in sorted(folder.glob("signs/*.yaml"))
    }
    none = {name: sign.get("none", {}).get("id", "") for name, sign in signs.items()}
    listed = {name: [it["id"] for it in sign["answers"]] for name, sign in signs.items()}
    return Rules(
        answers={name: [*listed[name], *filter(None, [none[name]])] for name in signs},
        none=none,
        needs={name: sign.get("needs", {}) for name, sign in signs.items()},
        not_after={name: sign.get("not_after", []) for name, sign in signs.items()},
    )


def rules_of(plant: Plant) -> Rules:
    """The same rules of a plant that stands in no file."""
    signs = plant.signs
    return Rules(
        answers={name: [it.id for it in sign.all_answers] for name, sign in signs.items()},
        none={name: sign.none.id if sign.none else "" for name, sign in signs.items()},
        needs={
            name: {needed: list(answers) for needed, answers in sign.needs.items()}
            for name, sign in signs.items()
        },
        not_after={name: list(sign.not_after) for name, sign in signs.items()},
    )


def asked_at_random(
    plant: Plant, evidence: Evidence, rules: Rules, seed: int
) -> Iterator[tuple[Findings, str]]:
    """Questions without end: on walks, after letters, and what results then offer."""
    draw = random.Random(seed)
    signs = list(rules.answers)

    def said(sign: str) -> str | None:
        return None if draw.random() < 0.15 else draw.choice(rules.answers[sign])

    while True:
        letter = draw.sample(signs, draw.choice([0, 0, 1, 2, 3]))
        findings = {sign: said(sign) for sign in letter}
        while look := next_look(evidence, plant.tree, findings):
            yield dict(findings), look.sign
            findings[look.sign] = said(look.sign)
        while offer := outcome(evidence, findings).look:
            yield dict(findings), offer.sign
            findings[offer.sign] = said(offer.sign)


def faults_of(plant: Plant, rules: Rules, questions: int, seed: int = 1) -> list[str]:
    every = asked_at_random(plant, weigh(plant), rules, seed)
    asked = [next(every) for _ in range(questions)]
    return [
        f"{sign} after {dict(findings)}: {why}"
        for findings, sign in asked
        if (why := rules.fault(findings, sign))
    ]


@pytest.mark.slow
def test_nothing_senseless_is_asked(real: Library) -> None:
    """On random walks, letters and results no question is silly or answered already."""
    for plant in real.knowledge.plants.values():
        rules = written_rules(ROOT / "knowledge" / plant.id)
        assert faults_of(plant, rules, 100_000 if SWEEP else 5_000) == []


def test_nothing_senseless_is_asked_of_any_plant() -> None:
    """The same on made-up plants, with trees and `not_after` drawn at random."""
    for plant in drawn_plants(8):
        assert faults_of(plant, rules_of(plant), 250) == []


def test_the_rules_find_what_is_senseless() -> None:
    """The reading that judges the walks does find each kind of fault."""
    rules = Rules(
        answers={"leaf": ["holes", "none"], "bite": ["edge"], "soil": ["wet"]},
        none={"leaf": "none", "bite": "", "soil": ""},
        needs={"leaf": {}, "bite": {"leaf": ["holes"]}, "soil": {}},
        not_after={"leaf": ["wet"], "bite": [], "soil": ["leaf"]},
    )
    assert rules.fault({"leaf": None}, "leaf") == "answered"
    assert rules.fault({"leaf": "none"}, "bite") == "needs leaf"
    assert rules.fault({"soil": "wet"}, "leaf") == "not after wet"
    assert rules.fault({"leaf": "holes"}, "soil") == "not after leaf was told"
    assert rules.fault({"leaf": "none"}, "soil") == ""
    assert rules.fault({"leaf": None}, "soil") == ""


def trees(toy: Library, real: Library) -> Iterator[Plant]:
    yield from toy.knowledge.plants.values()
    yield from real.knowledge.plants.values()
    yield from drawn_plants(6)


def test_somebody_comes_to_every_end_and_everybody_to_one(
    toy: Library, real: Library
) -> None:
    """The chances to come to an end sum to one hundred, and none is zero."""
    for plant in trees(toy, real):
        shares = end_shares(weigh(plant), plant.tree)
        assert set(shares) == set(plant.tree.ends)
        assert sum(100 * it.coming for it in shares.values()) == pytest.approx(100)
        assert all(it.coming > 0 for it in shares.values())


def test_shares_at_ends_make_up_how_common_causes_are(toy: Library, real: Library) -> None:
    """Over all ends, P(cause | came here) is P(cause) again: nobody is lost or made up."""
    for plant in trees(toy, real):
        evidence = weigh(plant)
        places = arrived(evidence, plant.tree)
        total = np.zeros(len(evidence.causes))
        for end in plant.tree.ends:
            shares = places[end].ranking.vector
            assert shares.sum() == pytest.approx(1)
            total += coming(evidence, places[end]) * shares
        assert np.allclose(total, evidence.prior / evidence.prior.sum(), atol=1e-12)


def test_what_an_end_does_not_name_is_told(toy: Library, real: Library) -> None:
    """Each named cause has its share, and no other with a fifth or more is left out."""
    for plant in trees(toy, real):
        evidence = weigh(plant)
        places = arrived(evidence, plant.tree)
        for name, end in end_shares(evidence, plant.tree).items():
            ranking = places[name].ranking
            assert tuple(end.named) == plant.tree.ends[name].shows
            told = {**end.named, **end.besides}
            assert all(share == ranking.share(cause) for cause, share in told.items())
            fair = [it for it in ranking.causes if ranking.share(it) >= scale.SHOWN_AT_END]
            assert set(fair) <= set(told)
            assert all(share >= scale.SHOWN_AT_END for share in end.besides.values())


def test_the_tree_of_the_invented_plant_in_print(toy: Library) -> None:
    """An outline: questions, answers below, and at each end the causes and who comes."""
    text = "\n".join(command.tree_lines(toy.knowledge.plants["mossbell"]))
    assert text.startswith(HOLES)


def test_no_printed_line_is_too_wide(toy: Library, real: Library) -> None:
    """Everything fits into 110 columns, however long its words."""
    for library in (toy, real):
        for plant in library.knowledge.plants.values():
            lines = [*command.tree_lines(plant), *command.advice_lines(library, plant)]
            assert max(len(it) for line in lines for it in line.split("\n")) <= 110


def test_the_command_prints_every_tree(toy_copy: Path, capsys: Printed) -> None:
    """Without a plant each tree is printed; with one, that; and no colour into a file."""
    assert bedside_tree(toy_copy.parent) == 0
    every = capsys.readouterr().out
    assert bedside_tree(toy_copy.parent, "mossbell") == 0
    assert capsys.readouterr().out == every
    assert "What do you see on the leaves? (leaf-look)" in every
    assert "\x1b" not in every


def test_ids_are_small_on_a_terminal(
    toy_copy: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a terminal ids stand back, and nothing else changes."""
    bedside_tree(toy_copy.parent)
    plain = capsys.readouterr().out
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    bedside_tree(toy_copy.parent)
    dimmed = capsys.readouterr().out
    assert "\x1b[2m(leaf-look)\x1b[0m" in dimmed
    assert dimmed.replace("\x1b[2m", "").replace("\x1b[0m", "") == plain


def test_a_wrong_plant_or_a_broken_tree_is_said(toy_copy: Path, capsys: Printed) -> None:
    """A misspelt plant gets a hint; a tree with an error is not printed but explained."""
    with pytest.raises(UsageError, match="did you mean 'mossbell'"):
        bedside_tree(toy_copy.parent, "mosbell")
    file = toy_copy / "mossbell" / "tree.yaml"
    file.write_text("leaf-look: {holes: bell-moth}\n", "utf-8")
    assert bedside_tree(toy_copy.parent) == PROBLEMS
    assert "[missing-otherwise]" in capsys.readouterr().out


def test_a_better_order_is_advised_and_not_made(toy_copy: Path, capsys: Printed) -> None:
    """A question that tells nothing there is pointed out with its line; no file changes."""
    file = toy_copy / "mossbell" / "tree.yaml"
    ends = "bell-moth, slime-nibbler, dust-spot, wet-roots"
    soil_first = (
        "soil:\n"
        "  soil-dry: thirst\n"
        f"  soil-wet: [{ends}]\n"
        "  otherwise: {leaf-look: {holes: {trace: {slime: slime-nibbler,\n"
        "    otherwise: bell-moth}}, otherwise: new-leaf}}\n"
    )
    file.write_text(soil_first, "utf-8")
    assert bedside_tree(toy_copy.parent, "--check-order") == 0
    out = capsys.readouterr().out
    assert "Sense goes before bits" in out
    assert "knowledge/mossbell/tree.yaml:1: after nothing yet" in out
    assert "asked here: How does the soil feel? (soil)" in out
    assert "tells more: What do you see on the leaves? (leaf-look)" in out
    assert "100.0 of 100 come here" in out
    assert file.read_text("utf-8") == soil_first


def test_nothing_is_advised_where_nothing_tells_much_more(
    toy_copy: Path, capsys: Printed
) -> None:
    """A tree in a good order is told so in one line."""
    assert bedside_tree(toy_copy.parent, "--check-order") == 0
    assert command.WELL_ORDERED in capsys.readouterr().out


def test_at_most_twenty_places_are_advised() -> None:
    """A long list would not be read: the rest is counted."""
    silent = [make_sign(f"s{place}", (f"a{place}", f"b{place}")) for place in range(25)]
    telling = make_sign("t", ("t0", "t1", "t2", "t3"))
    causes = [make_cause(f"c{it}", evidence={"t": {f"t{it}": "always"}}) for it in range(4)]
    outline: Any = "c0"
    for sign in silent:
        outline = {sign.id: {"otherwise": outline}}
    plant = plant_of([*silent, telling], causes, tree=make_tree(outline))
    found = better_looks(weigh(plant), plant.tree)
    assert [it.sign for it in found] == ["t"] * 25
    library = Library(knowledge=make_knowledge(), documents={})
    lines = list(command.advice_lines(library, plant))
    assert sum("come here" in line for line in lines) == 20
    assert lines[-1] == "and 5 more that matter less"


def test_advice_makes_sense(toy: Library, real: Library) -> None:
    """What is advised makes sense for all who come: not asked, not silly, needs met."""
    several = 0
    for plant in (*trees(toy, real), *drawn_plants(20)):
        rules = rules_of(plant)
        found = better_looks(weigh(plant), plant.tree)
        several += len(found)
        for it in found:
            for findings in told_before(plant, it.question, rules):
                assert rules.fault(findings, it.sign) == "", (findings, it.sign)
            assert it.would_tell - it.tells >= scale.TELLS_MORE
        assert list(found) == sorted(found, key=lambda it: -round(it.more, 12))
    assert several > 20


def told_before(plant: Plant, place: str, rules: Rules) -> Iterator[Findings]:
    """What may have been told on the way: the named answers, and each that is not named."""
    by_path = {it.path: it for it in plant.tree.questions.values()}
    path = plant.tree.questions[place].path
    known: dict[str, str | None] = {}
    unnamed = []
    for at in range(0, len(path), 2):
        sign, way = path[at], path[at + 1]
        known[sign] = None if way == "otherwise" else way
        if way == "otherwise":
            named = by_path[path[:at]].ways
            unnamed += [(sign, it) for it in rules.answers[sign] if it not in named]
    yield known
    for sign, answer in unnamed:
        yield {**known, sign: answer}


def test_the_example_in_the_growers_guide_is_a_tree(tmp_path: Path) -> None:
    """The lines that teach the format are right for the plant of a new site."""
    assert main(["new", "site", str(tmp_path)]) == 0
    root, plant = tmp_path / "knowledge", "dimplewort"
    guide = (root / "README.md").read_text("utf-8")
    (example,) = re.findall(r"```yaml\n(leaves:.*?)```", guide, re.DOTALL)
    (root / plant / "tree.yaml").write_text(example, "utf-8")
    library = read_clean(root)
    found = [it for it in checks.run(library) if it.file == f"{plant}/tree.yaml"]
    assert [it.message for it in found if it.level == ERROR] == []


def test_a_question_is_named_after_its_sign() -> None:
    """Where an earlier branch has the name, the nearest answer before is added."""
    tree = make_tree(
        {
            "leaf": {
                "holes": {"soil": {"wet": "rot", "otherwise": ["rot", "moth"]}},
                "spots": {"soil": {"wet": "rot", "otherwise": "moth"}},
                "otherwise": {"soil": {"otherwise": "moth"}},
            }
        }
    )
    assert list(tree.questions) == ["leaf", "soil", "soil/spots", "soil/leaf"]
    assert tree.first == "leaf"
    assert tree.questions["soil/spots"].path == ("leaf", "spots")
    assert tree.questions["soil/spots"].ways == {"wet": "rot/wet"}
    assert tree.questions["leaf"].after("holes") == "soil"
    assert tree.questions["leaf"].after(None) == "soil/leaf"
    assert tree.questions["leaf"].after("pale") == "soil/leaf"
    assert tree.ends["rot"].path == ("leaf", "holes", "soil", "wet")
    assert tree.ends["rot/soil"].shows == ("rot", "moth")


@pytest.mark.parametrize("seed", range(20))
def test_every_place_has_a_name_of_its_own(seed: int) -> None:
    """However often a sign or a cause stands in a tree, no two places share a name."""
    plant = made_up_plant(seed)
    tree = drawn_tree(seed, plant.signs, plant.causes)
    leads = [
        to for it in tree.questions.values() for to in (*it.ways.values(), it.otherwise)
    ]
    assert len(leads) == len(set(leads)) == len(tree.questions) + len(tree.ends) - 1
    assert set(leads) | {tree.first} == {*tree.questions, *tree.ends}
