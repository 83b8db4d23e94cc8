"""The worker that keeps a copy of the site, still without the version of its pack."""

from collections.abc import Iterator
from datetime import date

from bedside.pages.frame.addresses import LOST, SEASON
from bedside.pages.frame.assets import Asset
from bedside.pages.frame.desk import Site

WORKER = "sw.js"
PACK = "offline.pack"
VERSION_MARK = "version-of-the-pack"


def assets(site: Site) -> Iterator[Asset]:
    """The worker, still without the version of its pack: pages must be written first."""
    words = site.words["offline"]
    facts = {
        "pack": PACK,
        "lost": LOST,
        "remembered": SEASON,
        "copy": words["copy"].format(date=_in_words(newest_review(site))),
        "unkept": words["unkept"],
    }
    template = site.templates.environment.get_template("sw.js.j2")
    text = template.render(view=facts, mark=VERSION_MARK)
    yield Asset(address=WORKER, content=text.encode())


def newest_review(site: Site) -> str:
    """The latest review date: the only date a build may know."""
    plants = site.knowledge.plants.values()
    return max(cause.reviewed for plant in plants for cause in plant.causes.values())


def _in_words(day: str) -> str:
    moment = date.fromisoformat(day)
    return f"{moment:%B} {moment.day}, {moment.year}"
