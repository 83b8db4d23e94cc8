"""From clean documents to records: nothing guessed, nothing lost."""

from collections.abc import Collection
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest

from bedside.model import records as model
from bedside.model.library import Library
from bedside.problems import WARNING
from bedside.read.assemble import assemble, make
from bedside.read.knowledge_files import read_knowledge, read_schemas
from bedside.read.layout import FORMAT
from bedside.read.library import read_library
from tests.conftest import ROOT, TOY, read_clean

SCHEMAS, _ = read_schemas(ROOT / "knowledge")
# Fields that are not written in the file but known from its name and place.
BY_PLACE = {"id", "file", "plant"}


def one(name: str) -> Any:
    return SCHEMAS[name]


def items(name: str, *path: str) -> Any:
    """Give the schema of each item: of a mapping by id, or of a list."""
    schema = SCHEMAS[name]
    for step in path:
        schema = schema["properties"][step]
    return schema.get("items") or schema["additionalProperties"]


# Each record, the part of a schema that says its shape, the fields made of something else.
SAME_NAMES: tuple[tuple[type[Any], Any, Collection[str]], ...] = (
    (model.Claim, SCHEMAS["common"]["$defs"]["claim"], {}),
    (model.Source, items("sources"), {}),
    (model.Nursery, one("nursery"), {}),
    (model.Zone, items("zones", "zones"), {}),
    (model.Season, items("zones", "seasons"), {}),
    (model.Emergencies, one("emergencies"), {}),
    (model.Country, items("emergencies", "countries"), {}),
    (model.FirstAid, items("emergencies", "first_aid"), {}),
    (model.LocalService, items("services"), {}),
    (model.Control, one("control"), {}),
    (model.ControlLines, items("control_lines"), {}),
    (model.Topic, one("topic"), {}),
    (model.Section, items("topic", "sections"), {}),
    (model.Answer, items("sign", "answers"), {}),
    (model.Sign, one("sign"), {}),
    (model.DisprovingCheck, SCHEMAS["cause"]["properties"]["check"], {}),
    (model.LookAlike, items("cause", "look_alikes"), {}),
    (model.PlanStep, items("cause", "plan"), {}),
    (model.LifeStage, items("cause", "life"), {}),
    # `where_when` carries its sources in the file, and beside it in the record.
    (model.Cause, one("cause"), {"where_when_sources"}),
    (model.FirstStep, items("first_steps"), {}),
    (model.Family, items("plant", "families"), {}),
    (model.Asked, items("asked"), {}),
    (model.WayIn, items("plant", "ways_in"), {}),
    (model.Case, items("cases"), {}),
    # What the other files of a plant's folder hold.
    (model.Plant, one("plant"),
     {"first_steps", "signs", "causes", "tree", "cases", "drawings", "asked",
      "control_lines"}),
)  # fmt: skip
WRITTEN_AS = {"sources": "from", "instead": "for"}
ONE_SOURCE = {model.Case: {"source": "from"}}


@pytest.mark.parametrize(
    ("record", "schema", "elsewhere"),
    SAME_NAMES,
    ids=lambda it: getattr(it, "__name__", ""),
)
def test_a_schema_and_its_record_have_the_same_names(
    record: Any, schema: Any, elsewhere: set[str]
) -> None:
    """A key of a file is a field of the record, and the other way round."""
    spelt = ONE_SOURCE.get(record, WRITTEN_AS)
    in_record = {it.name for it in fields(record)} - set(elsewhere)
    written = {spelt.get(name, name) for name in in_record}
    in_file = set(schema["properties"])
    written -= BY_PLACE - in_file  # the id of an answer, say, does stand in the file
    assert written == in_file


def test_every_record_is_compared_with_a_schema() -> None:
    """No record of the model is left out of the comparison above."""
    compared = {record for record, _, _ in SAME_NAMES}
    records = {
        it
        for it in vars(model).values()
        if isinstance(it, type) and it.__module__ == model.__name__
    }
    # An emergency line stands below a country; all of the knowledge is no one file; a tree
    # is written as an outline, which has no names but those of signs and causes.
    assert records - compared == {
        model.EmergencyLine, model.Knowledge, model.Tree, model.Question, model.End,
    }  # fmt: skip


def test_defaults_of_the_schemas_are_the_defaults_of_the_records(toy: Library) -> None:
    """What a schema calls the default is what a record gets when the key is left out."""
    plant = toy.knowledge.plants["mossbell"]
    assert items("first_steps")["properties"]["idle"]["default"] is False
    assert plant.first_steps["water-now"].idle is False
    assert SCHEMAS["control"]["properties"]["by_hand"]["default"] is False
    assert toy.knowledge.controls["look-over"].by_hand is False
    assert items("first_steps")["properties"]["by_hand"]["default"] is False
    assert plant.first_steps["water-now"].by_hand is False
    assert items("sources")["properties"]["weak"]["default"] is False
    assert toy.knowledge.sources["handbook"].weak is False
    assert SCHEMAS["nursery"]["properties"]["format"]["default"] == FORMAT
    assert toy.knowledge.nursery.format == FORMAT


def test_what_is_left_out_is_empty() -> None:
    """Texts, lists and mappings that are not written are empty; records are none."""
    cause = make(model.Cause, {}, id="x", file="x.yaml")
    assert (cause.latin, cause.plan, cause.evidence, cause.check) == ("", (), {}, None)
    assert make(model.Source, {"kind": "paper", "title": "T"}, id="x").url == ""


def test_the_records_of_the_invented_plant(toy: Library) -> None:
    """Files become records: claims with sources, lists as tuples, ids from file names."""
    knowledge = toy.knowledge
    plant = knowledge.plants["mossbell"]
    slug = plant.causes["slime-nibbler"]
    assert slug.file == "mossbell/causes/slime-nibbler.yaml"
    assert slug.know_it == (
        model.Claim(
            say="It leaves a silver line that dries like glass.", sources=("handbook",)
        ),
    )
    assert slug.where_when["wet-coast"] == {"spring": "common", "summer": "present"}
    assert slug.where_when_sources == ("handbook",)
    assert slug.check is not None
    assert slug.check.passes == ("slime",)
    assert slug.life[1].size_mm == "10-30"
    assert plant.causes["unlisted"].where_when == {}
    assert knowledge.sources["handbook"].year == "2020"
    assert knowledge.seasons["spring"].months == (3, 4, 5)
    assert knowledge.emergencies.countries[0].id == "us"
    assert knowledge.emergencies.countries[0].lines[0].sources == ("helplines",)
    assert knowledge.services[1].state == "OR"
    assert [case.id for case in plant.cases] == ["slug-in-spring", "dust-on-tissue"]
    assert plant.cases[0].source == "handbook"
    assert plant.drawings["holes"].startswith("<svg")


def test_the_tree_of_the_invented_plant(toy: Library) -> None:
    """Questions are named after signs, ends after causes; both know their place."""
    tree = toy.knowledge.plants["mossbell"].tree
    assert tree.first == "leaf-look"
    assert tree.questions["trace"].path == ("leaf-look", "holes")
    assert tree.questions["trace"].ways == {
        "slime": "slime-nibbler",
        "pellets": "bell-moth",
    }
    assert tree.questions["trace"].otherwise == "bite"
    soil = [it.id for it in tree.questions.values() if it.sign == "soil"]
    assert soil == ["soil", "soil/pale"]
    assert tree.ends[tree.questions["bite"].otherwise].shows == (
        "bell-moth",
        "slime-nibbler",
    )
    place = toy.place(tree.file, *tree.questions["trace"].path, "trace", key=True)
    assert place.source_line.strip() == "trace:"


def test_the_records_say_where_and_when_a_look_makes_sense(toy: Library) -> None:
    """What a sign says of asking it is read as it is written, and empty otherwise."""
    signs = toy.knowledge.plants["mossbell"].signs
    assert signs["bite"].needs == {"leaf-look": ("holes",)}
    assert (signs["bite"].looked_at, signs["soil"].looked_at) == ("leaf", "memory")
    assert signs["bite"].not_after == ()
    assert {it.looked_at for it in signs.values()} <= set(model.LOOKED_AT)
    assert SCHEMAS["sign"]["properties"]["looked_at"]["enum"] == list(model.LOOKED_AT)


def test_none_of_these_is_an_answer(toy: Library) -> None:
    """The answer "none of these" is a finding like the others, and has no drawing."""
    sign = toy.knowledge.plants["mossbell"].signs["trace"]
    assert sign.none is not None
    assert [it.id for it in sign.all_answers] == ["slime", "pellets", "no-trace"]
    assert sign.none.drawing == ""


ASKED = """
saved:
  asks: Can it be saved?
  words: [can i save, worth sav*]
  reply: Press the root.
  for: {thirst: Water it., disorder: Most likely.}
  page: /causes/thirst/
  from: [judgement]
"""


def test_what_customers_ask_is_read_and_may_be_missing(
    toy: Library, toy_copy: Path
) -> None:
    """Without the file there are no questions; a cause has its own reply first."""
    assert toy.knowledge.plants["mossbell"].asked == {}
    (toy_copy / "mossbell" / "asked.yaml").write_text(ASKED, encoding="utf-8")
    library, problems, _ = read_library(toy_copy)
    assert library is not None, problems
    asked = library.knowledge.plants["mossbell"].asked["saved"]
    assert (asked.words, asked.page) == (("can i save", "worth sav*"), "/causes/thirst/")
    assert (asked.arrived, asked.sources) == ("", ("judgement",))
    assert asked.reply_for("thirst", "disorder") == "Water it."
    assert asked.reply_for("wet-roots", "disorder") == "Most likely."
    assert asked.reply_for("bell-moth", "pest") == "Press the root."


def test_a_library_knows_its_places(toy: Library) -> None:
    """A problem can be made at any path of any file, and at a file that is not there."""
    file = "mossbell/causes/slime-nibbler.yaml"
    problem = toy.problem(file, ("check", "sign"), "odd", "odd", "look", level=WARNING)
    assert problem.source_line == "  sign: trace"
    assert (problem.column, problem.length, problem.level) == (9, 5, WARNING)
    assert toy.place(file, "check", key=True).column == 1
    assert toy.place("no/such.yaml", "x").line == 1
    assert toy.words("taught")
    assert toy.words("nothing") is None
    assert toy.season("nothing") is None


def test_the_order_of_files_does_not_matter() -> None:
    """Documents in any order give the same records, in the same order."""
    documents, _ = read_knowledge(TOY)
    there, back = assemble(documents), assemble(reversed(documents))
    assert repr(there.knowledge) == repr(back.knowledge)


def test_a_second_plant_needs_no_code(toy_copy: Path) -> None:
    """A folder with a plant.yaml is a plant, whatever its name."""
    (toy_copy / "mossbell").rename(toy_copy / "fernbell")
    library, problems, files = read_library(toy_copy)
    assert library is not None, problems
    assert list(library.knowledge.plants) == ["fernbell"]
    assert files == len(library.documents)


def test_a_plant_adds_lines_to_a_shared_control(toy_copy: Path) -> None:
    """They stand below the shared ones for that plant, and not in the shared control."""
    (toy_copy / "mossbell" / "control_lines.yaml").write_text(
        "pick-off:\n  in_short: Pick at dusk.\n"
        "  how:\n  - say: Look into each bell.\n    from: [judgement]\n",
        encoding="utf-8",
    )
    knowledge = read_clean(toy_copy).knowledge
    shared = knowledge.controls["pick-off"]
    fitted = knowledge.plants["mossbell"].fitted(shared)
    assert fitted.how[:-1] == shared.how
    assert fitted.how[-1].say == "Look into each bell."
    assert (fitted.in_short, fitted.targets) == ("Pick at dusk.", shared.targets)
