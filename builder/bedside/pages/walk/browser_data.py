"""What the browser reads: what a walk needs in one file, what a result says in another.

Only texts, numbers and page pieces that a template made: the script picks and shows them.
"""

from collections.abc import Iterator
from dataclasses import asdict, replace
from typing import Any

from bedside.model.records import (
    SPRAY_TIERS,
    TIERS,
    Cause,
    DisprovingCheck,
    FirstStep,
    Sign,
)
from bedside.pages.frame.addresses import (
    cause_address,
    control_address,
    question_address,
    result_address,
)
from bedside.pages.frame.assets import Asset, json_asset
from bedside.pages.frame.desk import PlantDesk, Site
from bedside.pages.frame.drawings import picture, sprite
from bedside.pages.frame.templates import PageFacts
from bedside.pages.frame.views import ResultView, every_part
from bedside.pages.walk.result_parts import plan_steps, rung_step, word_for
from bedside.reason.browser_tables import browser_table, browser_tree


def assets(site: Site) -> Iterator[Asset]:
    """The data of each plant: its walk, the texts of its results, and its drawings."""
    for desk in site.desks.values():
        id_ = desk.plant.id
        yield json_asset(f"{id_}.json", _results(site, desk))
        yield json_asset(f"{id_}-drawings.json", _drawings(desk))
        yield json_asset(f"{id_}-walk.json", _walk(site, desk))


def _results(site: Site, desk: PlantDesk) -> dict[str, Any]:
    plant, words = desk.plant, site.words
    result = result_address(plant)
    return {
        "skeleton": _skeleton(site, desk),
        "words": {
            key: words[key]
            for key in (
                "cant_tell",
                "sureness",
                "in_ten",
                "under_one",
                "still_open",
                "frequency",
                "notes",
                "place",
                "letter",
                "led",
            )
        },
        "mail": {
            **words["mail"],
            "to": site.knowledge.nursery.email,
            "address": f"{site.knowledge.nursery.site.rstrip('/')}/{result}",
            "plant": plant.name.lower(),
        },
        "plant": {"id": plant.id, "result": result},
        "families": {
            id_: {"called": family.called, "unclear": family.unclear}
            for id_, family in plant.families.items()
        },
        "causes": {cause.id: _cause(site, desk, cause) for cause in plant.causes.values()},
        "signs": {sign.id: _sign(desk, sign) for sign in plant.signs.values()},
        "steps": {step.id: _step(step) for step in plant.first_steps.values()},
        "tiers": [[tier, words["tiers"][tier]] for tier in TIERS],
        "sprays": list(SPRAY_TIERS),
        "zones": [[zone.id, zone.name] for zone in site.knowledge.zones.values()],
        "seasons": [[it.id, it.name, it.months] for it in site.knowledge.seasons.values()],
    }


def _skeleton(site: Site, desk: PlantDesk) -> str:
    # The same template as the built results, with every part present and every slot kept.
    view = replace(every_part(ResultView), plant=desk.plant.id)
    facts = PageFacts(address=result_address(desk.plant, "x"), title="", description="")
    name, drawings = "_result.html.j2", desk.plant.drawings
    return site.templates.skeleton(name, facts, drawings, view)[0]


def _cause(site: Site, desk: PlantDesk, cause: Cause) -> dict[str, Any]:
    plant, controls = desk.plant, desk.controls
    return {
        "name": cause.name,
        "called": cause.called,
        "in_short": cause.in_short,
        "drawing": cause.drawing,
        "address": cause_address(cause.id),
        "year": site.year_of(cause.id),
        "alike": {look.cause: look.split for look in cause.look_alikes},
        "check": _check(cause.check) if cause.check else None,
        "first": [cause.first_step, *cause.also_right],
        "says": {
            sign.id: {
                answer.id: word_for(cause, sign, answer.id) for answer in sign.all_answers
            }
            for sign in plant.signs.values()
            if cause.evidence.get(sign.id)
        },
        "plan": [
            {"tier": controls[id_].tier, **asdict(rung_step(controls[id_], steps))}
            for id_, steps in plan_steps(cause).items()
        ],
    }


def _sign(desk: PlantDesk, sign: Sign) -> dict[str, Any]:
    return {
        "question": sign.question,
        "where": sign.where,
        "how_to_check": sign.how_to_check,
        "address": question_address(desk.plant, sign.id),
        "none": sign.none.id if sign.none else "",
        "answers": {
            answer.id: {
                "says": answer.says,
                "shows": answer.shows,
                "drawing": answer.drawing,
            }
            for answer in sign.all_answers
        },
    }


def _check(check: DisprovingCheck) -> dict[str, Any]:
    return {"sign": check.sign, "do": check.do, "if_fails": check.if_fails}


def _step(step: FirstStep) -> dict[str, Any]:
    return {
        "do": step.do,
        "after": dict(step.do_after),
        "how": [claim.say for claim in step.how],
        "control": control_address(step.control) if step.control else "",
    }


def _drawings(desk: PlantDesk) -> dict[str, Any]:
    plant = desk.plant
    names = {
        plant.drawing,
        *(cause.drawing for cause in plant.causes.values()),
        *(
            a.drawing
            for sign in plant.signs.values()
            for a in sign.all_answers
            if a.drawing
        ),
    }
    return {
        "sprite": sprite(plant.drawings, tuple(sorted(names))),
        "pictures": {name: picture(plant.drawings, name, "") for name in sorted(names)},
    }


def _walk(site: Site, desk: PlantDesk) -> dict[str, Any]:
    plant = desk.plant
    return {
        "table": {**browser_table(desk.evidence), **site.old_ids(desk.plant.id)},
        "tree": browser_tree(plant.tree),
        "plant": plant.id,
        "signs": {
            sign.id: [sign.question, [answer.says for answer in sign.all_answers]]
            for sign in plant.signs.values()
        },
        "causes": {cause.id: cause.name for cause in plant.causes.values()},
    }
