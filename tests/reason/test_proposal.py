"""The tree that the arithmetic proposes: short, sensible, and soon the grower's own."""

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from bedside import checks
from bedside.cli import main
from bedside.model.library import Library
from bedside.model.outline import tree_of
from bedside.model.records import Plant
from bedside.reason import proposal
from bedside.reason.arrival import arrived, coming, weighed_ends
from bedside.reason.evidence import weigh
from bedside.reason.findings import makes_sense
from bedside.reason.proposal import propose, tree_text, worth_at
from tests.conftest import TOY, read_clean
from tests.factories import make_cause, make_sign
from tests.made_up_plants import made_up_plant, plant_of, sensitive_plant
from tests.sweep import SWEEP

SEEDS = range(200 if SWEEP else 12)


@pytest.fixture
def without_tree(tmp_path: Path) -> Path:
    """Give a project of the invented plant whose grower wrote no tree."""
    shutil.copytree(TOY, tmp_path / "knowledge")
    (tmp_path / "mkdocs.yml").write_text("site_name: x\n", encoding="utf-8")
    (tmp_path / "knowledge" / "mossbell" / "tree.yaml").unlink()
    return tmp_path


def plants() -> Iterator[Plant]:
    """Many plants, some with needs, groups and questions that make no sense."""
    for seed in SEEDS:
        yield made_up_plant(seed, causes=4 + seed % 9)
        yield sensitive_plant(seed, causes=8)


def test_it_is_short_and_names_every_cause() -> None:
    """Forty lines for eight causes, at most seven looks, and no cause without an end."""
    for plant in plants():
        listed = {it.id for it in plant.causes.values() if it.kind != "unlisted"}
        tree = tree_of("", propose(plant))
        assert listed <= {cause for end in tree.ends.values() for cause in end.shows}
        assert max(len(end.path) // 2 for end in tree.ends.values()) <= 7
        assert all(len(end.shows) <= 4 for end in tree.ends.values())
        text = tree_text(plant, propose(plant))
        lines = text.count("\n") - proposal.HEAD.count("\n")
        assert lines <= 5 * len(listed)


def test_it_asks_nothing_senseless() -> None:
    """Whoever comes to a question by its links could be asked it."""
    for plant in plants():
        evidence, tree = weigh(plant), tree_of("", propose(plant))
        places = arrived(evidence, tree)
        for question in tree.questions.values():
            place = places[question.id]
            told = {sign: place.findings.get(sign) for sign in place.asked}
            assert makes_sense(evidence, told, question.sign)


def test_its_first_question_is_worth_the_most(toy: Library) -> None:
    """Nobody else can say where to begin: most bits, told by most, come first."""
    plant = toy.knowledge.plants["mossbell"]
    evidence = weigh(plant)
    start = arrived(evidence, tree_of("", propose(plant)))
    first = next(iter(propose(plant)))
    place = next(it for it in start.values() if not it.asked)
    worth = worth_at(evidence, place)
    possible = [it for it in worth if makes_sense(evidence, {}, it)]
    assert first == max(possible, key=worth.__getitem__)


def test_its_ends_name_who_is_likely_there() -> None:
    """The likeliest of those who come is named, and everybody comes to some end."""
    for plant in plants():
        evidence, tree = weigh(plant), tree_of("", propose(plant))
        for end, ranking in weighed_ends(evidence, tree):
            assert ranking.top in end.shows
        assert sum(
            coming(evidence, place)
            for name, place in arrived(evidence, tree).items()
            if name in tree.ends
        ) == pytest.approx(1)


def test_the_same_records_give_the_same_tree() -> None:
    """Its ends are addresses: nothing but the records may change them."""
    plant = made_up_plant(3)
    turned = replace(plant, causes=dict(reversed([*plant.causes.items()])))
    assert propose(plant) == propose(plant) == propose(turned)


def test_a_plant_that_nothing_is_known_of_has_one_too() -> None:
    """A grower who wrote one sign and no evidence sees a page on the first day."""
    rest = make_cause("unlisted", kind="unlisted", evidence={})
    plant = plant_of([make_sign("leaf")], (rest,))
    assert propose(plant) == {"leaf": {"holes": "unlisted", "otherwise": "unlisted"}}


def test_a_plant_without_a_tree_takes_it(without_tree: Path) -> None:
    """The site asks in the proposed order, and the check names that and nothing else."""
    library = read_clean(without_tree / "knowledge")
    plant = library.knowledge.plants["mossbell"]
    assert plant.tree.proposed
    assert plant.tree.first == next(iter(propose(plant)))
    assert [it.code for it in checks.run(library)] == ["proposed-tree"]


def test_it_is_written_once_and_then_hers(
    without_tree: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Written where there is none; the same questions; what she wrote is never touched."""
    words = ["--root", str(without_tree), "tree", "mossbell", "--propose"]
    file = without_tree / "knowledge" / "mossbell" / "tree.yaml"
    before = read_clean(without_tree / "knowledge").knowledge.plants["mossbell"].tree
    assert main(words) == 0
    assert "wrote knowledge/mossbell/tree.yaml" in capsys.readouterr().out
    library = read_clean(without_tree / "knowledge")
    assert replace(library.knowledge.plants["mossbell"].tree, proposed=True) == before
    assert checks.run(library) == ()
    hers = file.read_text(encoding="utf-8") + "# mine\n"
    file.write_text(hers, encoding="utf-8")
    assert main(words) == 0
    assert capsys.readouterr().out == hers.removesuffix("# mine\n")
    assert file.read_text(encoding="utf-8") == hers
