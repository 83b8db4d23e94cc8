"""The grower's own page, "Answer a letter", and what it needs beside the reader's table."""

from collections.abc import Iterator
from typing import Any

from bedside.model.records import Emergencies, Plant
from bedside.pages.frame.addresses import DESCRIBE, LETTERS, has_letters
from bedside.pages.frame.assets import Asset, json_asset
from bedside.pages.frame.desk import PlantDesk, Site, SitePage
from bedside.pages.letters.reader_table import letters_table, named, others_of, table_name

REPLY_WORDS = 150


def pages(site: Site) -> Iterator[SitePage]:
    """The page for the grower, and those on which a gardener describes a plant."""
    if not has_letters(site.library):
        return
    desks = tuple(site.desks.values())
    tables = {
        "plurals": tuple(it.plant.plural for it in desks),
        "tables": tuple(table_name(it) for it in desks),
    }
    yield _page(site, LETTERS, "letters.html.j2", desks, tables)
    if len(desks) > 1:
        yield _page(site, DESCRIBE, "plants.html.j2", desks, _choice(desks))
    for desk in desks:
        address = DESCRIBE if len(desks) == 1 else f"{DESCRIBE}{desk.plant.id}/"
        view = {"plant": desk.plant, "table": table_name(desk)}
        yield _page(site, address, "describe.html.j2", (desk,), view)


def _page(
    site: Site, address: str, template: str, desks: tuple[PlantDesk, ...], view: Any
) -> SitePage:
    words = site.words[address.split("/")[0]]
    name = desks[0].plant.name.lower() if len(desks) == 1 else "plant"
    title = words["title"].format(plant=name)
    return site.page(address, template, title=title, description=words["about"], view=view)


def _choice(desks: tuple[PlantDesk, ...]) -> tuple[tuple[Plant, str, str], ...]:
    return tuple((it.plant, f"{DESCRIBE}{it.plant.id}/", it.plant.drawing) for it in desks)


def assets(site: Site) -> Iterator[Asset]:
    """The reader's table, and the texts of replies."""
    if not has_letters(site.library):
        return
    for desk in site.desks.values():
        table = {**letters_table(site, desk), "answers": answers(site, desk)}
        yield json_asset(table_name(desk), table)


def answers(site: Site, desk: PlantDesk) -> dict[str, Any]:
    """Names, steps, questions, offices and pieces of replies, for the page's script."""
    plant, knowledge = desk.plant, site.knowledge
    return {
        "plant": plant.name.lower(),
        "grown": len(site.desks),  # plants of this nursery
        "nursery": {
            "name": knowledge.nursery.name,
            "email": knowledge.nursery.email,
            "site": knowledge.nursery.site.rstrip("/"),
            "sign_off": knowledge.nursery.sign_off,
            "country": knowledge.nursery.country,
            "photos": knowledge.nursery.photo_guide,
        },
        "causes": {
            it.id: _told(
                {
                    "called": it.called,
                    "kind": it.kind,
                    "family": it.family,
                    "first": it.first_step,
                    "careful": it.careful,
                }
            )
            for it in plant.causes.values()
        },
        "families": {
            id_: _told({"called": it.called, "unclear": it.unclear, "careful": it.careful})
            for id_, it in plant.families.items()
        },
        "steps": {
            it.id: {"do": it.do, "after": dict(it.do_after)}
            for it in plant.first_steps.values()
        },
        "signs": {
            sign.id: {
                "question": sign.question,
                "where": sign.where,
                "says": {it.id: it.says for it in sign.all_answers},
            }
            for sign in plant.signs.values()
        },
        "offices": {
            it.state: {"name": it.name, "service": it.service, "url": it.url}
            for it in knowledge.services
        },
        "emergencies": _emergencies(knowledge.emergencies),
        "others": _others(site, plant),
        "asked": {
            it.id: _told(
                {
                    "asks": it.asks,
                    "reply": it.reply,
                    "for": it.instead,
                    "arrived": it.arrived,
                    "well": it.well,
                    "page": it.page,
                }
            )
            for it in plant.asked.values()
        },
        "replies": _replies(site.library.words("replies"), plant),
        "words": {key: site.words[key] for key in ("sureness", "in_ten", "under_one")},
        "most": REPLY_WORDS,
    }


def _told(parts: dict[str, Any]) -> dict[str, Any]:
    # What is empty need not travel.
    return {name: it for name, it in parts.items() if it}


def _others(site: Site, plant: Plant) -> dict[str, str]:
    grown = [desk.plant for desk in site.desks.values() if desk.plant is not plant]
    return {it.id: named("{a_plant}", it) for it in grown} | {
        id_: it["called"] for id_, it in others_of(site).items()
    }


def _replies(pieces: Any, plant: Plant) -> Any:
    if isinstance(pieces, str):
        return named(pieces, plant)
    if isinstance(pieces, dict):
        return {key: _replies(it, plant) for key, it in pieces.items()}
    return pieces


def _emergencies(them: Emergencies) -> dict[str, Any]:
    return {
        "unknown": them.unknown_country,
        "lines": {
            country.id: [[line.what, line.number, line.say] for line in country.lines]
            for country in them.countries
        },
        "aid": {
            aid.id: _told(
                {
                    "title": aid.title,
                    "short": aid.short,
                    "short_animal": aid.short_animal,
                    "short_beside": aid.short_beside,
                    "rinse_first": aid.rinse_first,
                    "do": [claim.say for claim in aid.do],
                    "do_not": [claim.say for claim in aid.do_not],
                }
            )
            for aid in them.first_aid
        },
    }
