"""Addresses that send on: short ones for print, and those that were published once.

Where a page of old has no heir, it says what became of it. For an address that was never
there the lost page looks into its words: what it may have meant is in one file of names.
"""

from collections.abc import Iterator
from typing import Any

from bedside.model.published_addresses import Promised, promised_of
from bedside.pages.frame.addresses import (
    cause_address,
    control_address,
    result_address,
    short_address,
    topic_address,
)
from bedside.pages.frame.assets import Asset, json_asset
from bedside.pages.frame.desk import Site, SitePage
from bedside.pages.frame.views import Named

NAMES = "lost.json"
SAYS = {
    "titles.short": ("name",),
    "descriptions.short": (),
    "titles.moved": ("address",),
    "titles.ended": ("address",),
}


def pages(site: Site) -> Iterator[SitePage]:
    """One page a cause that has a short address."""
    for plant in site.knowledge.plants.values():
        for cause in plant.causes.values():
            if cause.short:
                yield site.page(
                    short_address(cause),
                    "short.html.j2",
                    title=site.said("titles.short", name=cause.name),
                    description=site.said("descriptions.short"),
                    view=Named(name=cause.name, address=cause_address(cause.id)),
                )


def pages_of_old(site: Site) -> Iterator[SitePage]:
    """One page for each address that moved or ended."""
    promised = promised_of(site.library)
    for old in promised.moved_pages:
        yield _of_old(site, "moved", old, promised.heir(old) or "")
    for old, say in promised.ended_pages.items():
        yield _of_old(site, "ended", old, say)


def _of_old(site: Site, name: str, old: str, view: str) -> SitePage:
    # What the page shows is where it went, or the line that says why there is none.
    title = site.said(f"titles.{name}", address=f"/{old}")
    return site.page(old, f"{name}.html.j2", title=title, view=view)


def assets(site: Site) -> Iterator[Asset]:
    """What the words of a wrong address may mean: name, address and ids by plant."""
    promised = promised_of(site.library)
    data = {"names": dict(_names(site)), "plants": _plants(site, promised)}
    yield json_asset(NAMES, data)


def _names(site: Site) -> Iterator[tuple[str, tuple[str, str]]]:
    # The last of the same name counts: a cause before a control, a plant before both.
    for topic in site.knowledge.topics.values():
        yield topic.id, (topic.title, topic_address(topic))
    for control in site.knowledge.controls.values():
        yield control.id, (control.name, control_address(control.id))
    for plant in site.knowledge.plants.values():
        for cause in plant.causes.values():
            yield cause.id, (cause.name, cause_address(cause.id))
            if cause.short:
                yield (
                    short_address(cause).split("/")[1],
                    (cause.name, cause_address(cause.id)),
                )
    for plant in site.knowledge.plants.values():
        yield plant.id, (plant.name, f"{plant.id}/")


def _plants(site: Site, promised: Promised) -> dict[str, Any]:
    return {
        plant.id: {
            "result": result_address(plant),
            "says": {
                answer.id: f"{sign.question} {answer.says}"
                for sign in plant.signs.values()
                for answer in sign.all_answers
            },
            "moved": promised.heirs(plant.id),
        }
        for plant in site.knowledge.plants.values()
    }
