"""Cause pages: how to know a cause, how to prove it wrong, its whole plan; and the list."""

from collections.abc import Iterator, Mapping

from bedside.model.records import SPRAY_TIERS, TIERS, Answer, Cause, Plant
from bedside.pages.frame.addresses import CAUSES, cause_address
from bedside.pages.frame.citing import cited
from bedside.pages.frame.desk import Site, SitePage, View, says_of_reference
from bedside.pages.sheets.key_pages import key_links
from bedside.pages.sheets.sheet_pages import cause_links
from bedside.pages.walk.result_parts import rung_step

SAYS = says_of_reference("causes")


def pages(site: Site) -> Iterator[SitePage]:
    """A page for each cause of each plant, then all of them from A to Z."""
    plants = site.knowledge.plants.values()
    for plant in plants:
        for cause in plant.causes.values():
            yield site.page(
                cause_address(cause.id),
                "cause.html.j2",
                title=cause.name,
                description=cause.in_short,
                view=cause_view(site, plant, cause),
                search=True,
            )
    causes = (cause for plant in plants for cause in plant.causes.values())
    listed = sorted(causes, key=lambda each: _letter(site, each.name))
    yield site.reference("causes", CAUSES, {"causes": listed, "whole": key_links(site)})


def cause_view(site: Site, plant: Plant, cause: Cause) -> View:
    """Everything about one cause."""
    tiers = _tiers(site, cause)
    controls = [step["control"] for steps in tiers.values() for step in steps]
    return {
        "plant": plant,
        "cause": cause,
        "tiers": tiers,
        "sprays": any(tier in tiers for tier in SPRAY_TIERS),
        "by_hand": any(control.by_hand for control in controls),
        "ticks": any(control.closed_when for control in controls),
        "passes": _answers(plant, cause, cause.check.passes if cause.check else ()),
        "fails": _answers(plant, cause, cause.check.fails if cause.check else ()),
        "where": {
            zone.name: _seasons(site, cause.where_when[zone.id])
            for zone in site.knowledge.zones.values()
            if zone.id in cause.where_when
        },
        "year": site.year_of(cause.id),
        "sheets": cause_links(site, cause),
        "drawings": site.drawings,
        "sources": cited(site.knowledge.sources, cause, *controls),
        "reviewed": cause.reviewed,
    }


def _tiers(site: Site, cause: Cause) -> dict[str, list[View]]:
    """The steps of the plan by tier, gentlest first."""
    controls = site.knowledge.controls
    found: dict[str, list[View]] = {tier: [] for tier in TIERS}
    for step in cause.plan:
        control = controls[step.control]
        rung = rung_step(control)
        found[control.tier].append({"step": step, "control": control, "rung": rung})
    return {tier: steps for tier, steps in found.items() if steps}


def _answers(plant: Plant, cause: Cause, ids: tuple[str, ...]) -> list[Answer]:
    """What somebody may see who takes the look that could prove the cause wrong."""
    sign = plant.signs[cause.check.sign] if cause.check else None
    known = {answer.id: answer for answer in sign.all_answers} if sign else {}
    return [known[id_] for id_ in ids]


def _seasons(site: Site, written: Mapping[str, str]) -> list[tuple[str, str]]:
    """How common it is in each season, in a word."""
    context = site.words["context"]
    return [
        (season.name, context[written.get(season.id, "present")])
        for season in site.knowledge.seasons.values()
    ]


def _letter(site: Site, name: str) -> str:
    # "A hungry plant" stands under h.
    first, _, rest = name.lower().partition(" ")
    return rest if rest and first in site.words["articles"] else name.lower()
