"""Plants made up by a seeded draw, for laws and measures that must hold for any plant."""

import random
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from bedside.model.records import (
    FREQUENCIES,
    LOOKED_AT,
    Cause,
    DisprovingCheck,
    FirstStep,
    Plant,
    Sign,
    Tree,
)
from bedside.reason import scale
from tests.factories import (
    make_cause,
    make_check,
    make_first_step,
    make_plant,
    make_sign,
    make_tree,
)

ZONES = ("dry", "north", "south", "wet")
SEASONS = ("autumn", "spring", "summer")


def made_up_plant(seed: int, causes: int = 12, signs: int = 14) -> Plant:
    """A plant with groups, needs, families, zones, seasons, checks and harmful steps."""
    draw = random.Random(seed)
    drawn = _signs(draw, signs)
    made = [_cause(draw, f"c{place:02}", drawn) for place in range(causes)]
    rest = make_cause("unlisted", kind="unlisted", common="rare", first_step="ask")
    return plant_of(drawn, (*made, rest))


def sensitive_plant(seed: int, causes: int = 12, signs: int = 14) -> Plant:
    """A made-up plant that also says what makes no sense, and what steps have a look at."""
    plant = made_up_plant(seed, causes, signs)
    draw, healthy = random.Random(seed + 1000), random.Random(seed + 2000)
    answers = [answer.id for sign in plant.signs.values() for answer in sign.answers]
    others = {
        sign.id: [it for it in answers if not it.startswith(f"{sign.id}-")]
        for sign in plant.signs.values()
    }
    return replace(
        plant,
        signs={
            id_: replace(
                sign,
                looked_at=draw.choice(LOOKED_AT),
                normal=healthy.choice(("", sign.answers[0].id)),
                not_after=tuple(draw.sample(others[id_], k=draw.randint(0, 4))),
            )
            for id_, sign in plant.signs.items()
        },
        causes={
            id_: replace(cause, check=_told_elsewhere(draw, cause.check, others))
            for id_, cause in plant.causes.items()
        },
        first_steps={
            id_: _curious(draw, step, plant) for id_, step in plant.first_steps.items()
        },
        tree=make_tree(_outline(draw, list(plant.signs.values()))),
    )


def _told_elsewhere(
    draw: random.Random, check: DisprovingCheck | None, others: Mapping[str, list[str]]
) -> DisprovingCheck | None:
    if check is None or draw.random() < 0.5:
        return check
    return replace(check, told_by=(draw.choice(others[check.sign]),))


def _curious(draw: random.Random, step: FirstStep, plant: Plant) -> FirstStep:
    sign = draw.choice(list(plant.signs.values()))
    return replace(
        step,
        asks=(sign.id,) if draw.random() < 0.6 else (),
        do_after={sign.answers[0].id: f"Go on with {step.id}."},
        rules_out=(draw.choice(list(plant.signs)),) if draw.random() < 0.4 else (),
        idle=draw.random() < 0.3,
    )


def _outline(draw: random.Random, signs: Sequence[Sign]) -> Any:
    # Three levels of questions that need nothing, the rest at `otherwise`.
    free = [sign for sign in signs if not sign.needs]
    first, *rest = draw.sample(free, k=min(3, len(free)))
    outline: Any = "unlisted"
    for sign in reversed(rest):
        outline = {sign.id: {sign.answers[0].id: "c00", "otherwise": outline}}
    return {first.id: {first.answers[0].id: outline, "otherwise": "unlisted"}}


def plant_of(signs: Sequence[Sign], causes: Sequence[Cause], **changes: object) -> Plant:
    """A plant whose first steps are those its causes name, and a tree of one question."""
    changes = {"first_steps": _first_steps(causes), "tree": chain_of(signs[:1])} | changes
    return make_plant(signs, causes, **changes)


def chain_of(signs: Sequence[Sign]) -> Tree:
    """A tree that asks these signs one after the other, whatever is answered."""
    outline: Any = "unlisted"
    for sign in reversed(signs):
        outline = {sign.id: {"otherwise": outline}}
    return make_tree(outline)


def _first_steps(causes: Sequence[Cause]) -> Mapping[str, FirstStep]:
    named = {step for c in causes for step in (c.first_step, *c.also_right, *c.harmed_by)}
    return {step: make_first_step(step) for step in sorted(named)}


def _signs(draw: random.Random, count: int) -> list[Sign]:
    signs: list[Sign] = []
    for place in range(count):
        name = f"s{place}"
        needs: Mapping[str, tuple[str, ...]] = {}
        if place > 3 and draw.random() < 0.25:
            parent = draw.choice(signs[:4])
            needs = {parent.id: (parent.answers[0].id, parent.answers[1].id)}
        sign = make_sign(
            name,
            [f"{name}-{letter}" for letter in "abcde"[: draw.randint(2, 5)]],
            none=f"{name}-none" if draw.random() < 0.6 else None,
            ease=draw.choice(tuple(scale.ACCURACY)),
            group=draw.choice(["", "", "", "g1", "g2"]),
            needs=needs,
        )
        signs.append(sign)
    return signs


def _cause(draw: random.Random, name: str, signs: Sequence[Sign]) -> Cause:
    checked = draw.choice(signs)
    passes, fails = (answer.id for answer in checked.answers[:2])
    return make_cause(
        name,
        common=draw.choice(tuple(scale.COMMONNESS)),
        family=draw.choice(["", "", "f1", "f2"]),
        evidence={s.id: _words(draw, s) for s in signs if draw.random() < 0.7},
        where_when=_where_when(draw),
        check=make_check(checked.id, passes=(passes,), fails=(fails,)),
        first_step=draw.choice(["pick", "cut", "wait"]),
        also_right=("look",),
        harmed_by=draw.choice([(), (), ("dig",), ("cut",)]),
    )


def _words(draw: random.Random, sign: Sign) -> Mapping[str, str]:
    answers = draw.sample(sign.all_answers, k=draw.randint(1, 2))
    return {answer.id: draw.choice(FREQUENCIES) for answer in answers}


def _where_when(draw: random.Random) -> Mapping[str, Mapping[str, str]]:
    if draw.random() < 0.5:
        return {}
    return {
        zone: {when: draw.choice(tuple(scale.CONTEXT)) for when in SEASONS}
        for zone in ZONES
    }
