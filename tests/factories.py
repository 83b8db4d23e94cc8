"""Records for tests: each valid by default, so that a test says only what it is about."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from bedside.model.outline import tree_of
from bedside.model.records import (
    Answer,
    Case,
    Cause,
    Claim,
    Control,
    DisprovingCheck,
    Emergencies,
    Family,
    FirstStep,
    Knowledge,
    LookAlike,
    Nursery,
    Plant,
    Season,
    Sign,
    Source,
    Topic,
    Tree,
    Zone,
)
from bedside.read.assemble import make
from bedside.reason.evidence import Evidence, SignTable, Table, columns_of, frozen, grid_of

REVIEWED = "2026-01-15"
COLOURS = {
    "paper": "#FBF7EE", "ink": "#22301F", "leaf": "#2F5D34", "bloom": "#B3261E",
    "ochre": "#7A4F00", "quiet": "#5A6355", "line": "#7C8574",
}  # fmt: skip


def make_claim(say: str = "It is so.", *sources: str) -> Claim:
    return Claim(say=say, sources=sources or ("handbook",))


def make_answer(name: str = "holes", **changes: Any) -> Answer:
    answer = Answer(
        id=name, says=f"I see {name}", shows=f"A leaf with {name} on it.", drawing=name
    )
    return replace(answer, **changes)


def make_sign(
    name: str = "leaf", answers: Any = ("holes", "spots"), **changes: Any
) -> Sign:
    """Make a sign; answers may be ids, and `none` is the id of "none of these"."""
    none = changes.pop("none", None)
    if isinstance(none, str):
        none = Answer(id=none, says="None of these", shows="", drawing="")
    sign = Sign(
        status="",
        id=name, file=f"mossbell/signs/{name}.yaml", question=f"What do you see of {name}?",
        where="Look at one leaf.", ease="easy", looked_at="leaf", group="", needs={},
        not_after=(),
        answers=tuple(make_answer(it) if isinstance(it, str) else it for it in answers),
        none=none, cant_tell="I can't tell", how_to_check="Take it to a window.",
        sources=("handbook",), reviewed=REVIEWED,
    )  # fmt: skip
    return replace(sign, **changes)


def make_cause(name: str = "rust", **changes: Any) -> Cause:
    words = {
        "name": name.title(), "called": f"the {name}", "kind": "pest", "common": "common",
        "in_short": "It bites.", "short": name[:8], "works_when": "It stops.",
        "first_step": "pick-off", "look_again_days": 7, "write_if": "Write if it goes on.",
        "reviewed": REVIEWED,
    }  # fmt: skip
    return replace(
        make(Cause, words, id=name, file=f"mossbell/causes/{name}.yaml"), **changes
    )


def make_check(sign: str = "leaf", **changes: Any) -> DisprovingCheck:
    check = DisprovingCheck(
        sign=sign,
        passes=("holes",),
        fails=("spots",),
        do="Look again.",
        if_fails="Not this.",
    )
    return replace(check, **changes)


def make_look_alike(cause: str = "moth", **changes: Any) -> LookAlike:
    look_alike = LookAlike(cause=cause, split="It leaves no dust.", sources=("handbook",))
    return replace(look_alike, **changes)


def make_control(name: str = "pick-off", **changes: Any) -> Control:
    words = {
        "name": name.title(), "tier": "hand", "targets": "slugs", "in_short": "Pick.",
        "reviewed": REVIEWED,
    }  # fmt: skip
    control = make(Control, words, id=name, file=f"controls/{name}.yaml")
    return replace(control, evidence=(make_claim(),), **changes)


def make_topic(name: str = "dividing", **changes: Any) -> Topic:
    words = {
        "address": f"/topics/{name}/", "title": name.title(), "audience": "gardener",
        "in_short": "Split it.", "reviewed": REVIEWED,
    }  # fmt: skip
    return replace(make(Topic, words, id=name, file=f"topics/{name}.yaml"), **changes)


def make_first_step(name: str = "pick-off", **changes: Any) -> FirstStep:
    words = {"do": f"Now {name}."}
    return replace(make(FirstStep, words, id=name), how=(make_claim(),), **changes)


def make_tree(outline: Any = None) -> Tree:
    """Make a tree of an outline as a grower writes it: {sign: {answer: cause, ...}}."""
    return tree_of("mossbell/tree.yaml", outline or {"leaf": {"otherwise": "rust"}})


def make_case(name: str = "a-case", **changes: Any) -> Case:
    case = Case(
        id=name, file="mossbell/cases/book.yaml", tells="Holes.", findings=("holes",),
        cause="rust", also=(), second="", zone="", season="", source="handbook",
    )  # fmt: skip
    return replace(case, **changes)


def make_plant(signs: Any = None, causes: Any = None, **changes: Any) -> Plant:
    """Make a plant of signs and causes (any iterables of records)."""
    words = {
        "name": "Mossbell", "plural": "mossbells", "latin": "Campanula inventa",
        "home_title": "What is wrong?", "home_line": "Look at a leaf.", "drawing": "plant",
    }  # fmt: skip
    plant = make(
        Plant, words, id="mossbell", file="mossbell/plant.yaml", tree=make_tree(), cases=(),
        signs={it.id: it for it in ((make_sign(),) if signs is None else signs)},
        causes={it.id: it for it in ((make_cause(),) if causes is None else causes)},
        first_steps={"pick-off": make_first_step()},
    )  # fmt: skip
    return replace(plant, **changes)


def make_family(name: str = "biters", **changes: Any) -> Family:
    return replace(
        Family(id=name, called="a biter", unclear="which is not clear", careful=""),
        **changes,
    )


def make_source(name: str = "handbook", **changes: Any) -> Source:
    return replace(Source(id=name, kind="handbook", title="A handbook"), **changes)


def make_nursery(**changes: Any) -> Nursery:
    words = {
        "name": "Ferncup Pots", "site": "https://ferncup.example", "country": "us",
        "email": "help@ferncup.example", "home_state": "OR", "about": ["We pot."],
        "interest": "We sell no sprays.", "replacement": "Tell us in ten days.",
        "sign_off": "The people at Ferncup", "written_by": "us", "checked_by": "nobody yet",
        "paper": "a4", "light": COLOURS, "dark": COLOURS,
    }  # fmt: skip
    return replace(make(Nursery, words), **changes)


def make_knowledge(**changes: Any) -> Knowledge:
    knowledge = Knowledge(
        nursery=make_nursery(), sources={"handbook": make_source()},
        emergencies=Emergencies(
            checked=REVIEWED, unknown_country="Call.", countries=(), first_aid=()
        ),
        zones={"coast": Zone(id="coast", name="the coast", states=("OR",), countries=())},
        seasons={"spring": Season(id="spring", name="spring", months=(3, 4, 5))},
        services=(), controls={"pick-off": make_control()}, topics={},
        plants={"mossbell": make_plant()},
    )  # fmt: skip
    return replace(knowledge, **changes)


def make_evidence(
    causes: tuple[str, ...], prior: Table, signs: Mapping[str, SignTable], **given: Any
) -> Evidence:
    """Tables made elsewhere, put together; nothing else is known of their plant."""
    made: dict[str, Any] = {
        "context": {}, "families": {}, "steps": (), "own": ((),) * len(causes),
        "ask": None, "checks": {},
    }  # fmt: skip
    return Evidence(
        causes=causes,
        prior=frozen(prior),
        signs=signs,
        answers=columns_of(signs),
        grid=grid_of(tuple(signs.values()), len(causes)),
        **made | given,
    )
