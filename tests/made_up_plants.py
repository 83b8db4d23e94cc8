"""Plants made up by a seeded draw, for laws and measures that must hold for any plant."""

import random
from collections.abc import Mapping, Sequence

from builder.model import (
    FREQUENCIES,
    Cause,
    FirstStep,
    Plant,
    Question,
    Sign,
    Tree,
)
from builder.reason import scale
from tests.factories import (
    make_cause,
    make_check,
    make_first_step,
    make_plant,
    make_question,
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


def plant_of(signs: Sequence[Sign], causes: Sequence[Cause], **changes: object) -> Plant:
    """A plant whose first steps are those its causes name, and a tree of one question."""
    changes = {"first_steps": _first_steps(causes), "tree": chain_of(signs[:1])} | changes
    return make_plant(signs, causes, **changes)


def chain_of(signs: Sequence[Sign]) -> Tree:
    """A tree that asks these signs one after the other, whatever is answered."""
    after = [*(sign.id for sign in signs[1:]), "open"]
    return make_tree(
        *(_question(sign, then) for sign, then in zip(signs, after, strict=True))
    )


def _question(sign: Sign, then: str) -> Question:
    ways = {answer.id: then for answer in sign.all_answers}
    return make_question(sign.id, ways=ways, cant_tell=then)


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
