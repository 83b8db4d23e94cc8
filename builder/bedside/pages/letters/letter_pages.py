"""The grower's own page, "Answer a letter", and what it needs beside the reader's table."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from bedside.model.records import Emergencies, Plant
from bedside.pages.frame.addresses import DESCRIBE, LETTERS, has_letters
from bedside.pages.frame.assets import Asset, json_asset
from bedside.pages.frame.desk import PlantDesk, Site, SitePage
from bedside.pages.letters.reader_table import letters_table, named, table_name

REPLY_WORDS = 150


@dataclass(frozen=True, kw_only=True, slots=True)
class LettersView:
    """One page that reads letters about one plant."""

    plant: str
    plural: str
    table: str
    result: str
    words: int
    signs: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]  # question -> id, answer


def pages(site: Site) -> Iterator[SitePage]:
    """The page for the grower, and the one on which a gardener describes the plant."""
    if not has_letters(site.library):
        return
    for address in (LETTERS, DESCRIBE) if len(site.desks) > 1 else ():
        yield _which_plant(site, address)
    for desk in site.desks.values():
        below = "" if len(site.desks) == 1 else f"{desk.plant.id}/"
        for address, template in (
            (LETTERS, "letters.html.j2"),
            (DESCRIBE, "describe.html.j2"),
        ):
            words = site.words[address.rstrip("/")]
            yield site.page(
                address + below,
                template,
                title=words["title"].format(plant=desk.plant.name.lower()),
                description=words["about"],
                view=letters_view(desk),
            )


def _which_plant(site: Site, address: str) -> SitePage:
    # The address from the days of one plant goes on to work.
    words = site.words[address.rstrip("/")]
    plants = tuple(
        (desk.plant, f"{address}{desk.plant.id}/", desk.plant.drawing)
        for desk in site.desks.values()
    )
    title = words["title"].format(plant="plant")
    return site.page(
        address, "plants.html.j2", title=title, description=words["about"], view=plants
    )


def assets(site: Site) -> Iterator[Asset]:
    """The reader's table, and the texts of replies."""
    if not has_letters(site.library):
        return
    for desk in site.desks.values():
        table = {**letters_table(site, desk), "answers": answers(site, desk)}
        yield json_asset(table_name(desk), table)


def letters_view(desk: PlantDesk) -> LettersView:
    """What the page shows before a letter is there."""
    plant = desk.plant
    return LettersView(
        plant=plant.name,
        plural=plant.plural,
        table=table_name(desk),
        result=f"{plant.id}/result/",
        words=REPLY_WORDS,
        signs=tuple(
            (sign.question, tuple((it.id, it.says) for it in sign.all_answers))
            for sign in plant.signs.values()
        ),
    )


def answers(site: Site, desk: PlantDesk) -> dict[str, Any]:
    """Names, steps, questions, offices and pieces of replies, for the page's script."""
    plant, knowledge = desk.plant, site.knowledge
    return {
        "nursery": {
            "name": knowledge.nursery.name,
            "email": knowledge.nursery.email,
            "site": knowledge.nursery.site.rstrip("/"),
            "sign_off": knowledge.nursery.sign_off,
            "country": knowledge.nursery.country,
        },
        "causes": {
            it.id: {
                "called": it.called,
                "kind": it.kind,
                "family": it.family,
                "first": it.first_step,
            }
            for it in plant.causes.values()
        },
        "families": {
            id_: {"called": it.called, "unclear": it.unclear}
            for id_, it in plant.families.items()
        },
        "steps": {it.id: it.do for it in plant.first_steps.values()},
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
            it.id: {
                "asks": it.asks,
                "reply": it.reply,
                "for": it.instead,
                "arrived": it.arrived,
            }
            for it in plant.asked.values()
        },
        "replies": _replies(site.library.words("replies"), plant),
        "words": {key: site.words[key] for key in ("sureness", "in_ten", "under_one")},
        "most": REPLY_WORDS,
    }


def _others(site: Site, plant: Plant) -> dict[str, str]:
    grown = [desk.plant for desk in site.desks.values() if desk.plant is not plant]
    known = site.library.words("plants")["others"].items()
    return {it.id: named("{a_plant}", it) for it in grown} | {
        id_: it["called"] for id_, it in known
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
            aid.id: {
                "title": aid.title,
                "short": aid.short,
                "do": [claim.say for claim in aid.do],
                "do_not": [claim.say for claim in aid.do_not],
            }
            for aid in them.first_aid
        },
    }
