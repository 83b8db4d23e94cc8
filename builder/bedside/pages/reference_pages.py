"""Pages to look things up in: causes, controls, topics, help, who we are; the lost page."""

from collections.abc import Iterator, Mapping

from bedside.model.records import SPRAY_TIERS, TIERS, Answer, Cause, Control, Plant, Topic
from bedside.pages.frame.addresses import (
    ABOUT,
    CAUSES,
    CONTROLS,
    EMERGENCIES,
    LOCAL_HELP,
    LOST,
    NOT_RECOMMENDED,
    SOURCES,
    TOPICS,
    cause_address,
    control_address,
    topic_address,
)
from bedside.pages.frame.assets import FOLDER, Asset
from bedside.pages.frame.citing import cited
from bedside.pages.frame.desk import PlantDesk, Site, SitePage, View, says_of_reference
from bedside.pages.sheets.sheet_pages import cause_links, key_links
from bedside.pages.walk.result_parts import rung_step
from bedside.reason.scale import BANDS

EATEN = "plant-eaten"  # the box below which stands what is known of our own plants
DESPAIR = "life-line"  # the box that speaks of nothing else
SAYS = {
    "titles.lost": (),
    **says_of_reference(
        "causes", "controls", "not_recommended", "topics", "local_help", "emergencies",
        "about", "sources",
    ),
}  # fmt: skip
AGAINST = "advised-against"
AUDIENCES = ("gardener", "nursery")


def pages(site: Site) -> Iterator[SitePage]:
    """Every page that is not part of a walk, of the season, or of a letter."""
    yield from _cause_pages(site)
    yield from _control_pages(site)
    yield from _other_pages(site)


def _cause_pages(site: Site) -> Iterator[SitePage]:
    """A page for each cause of each plant, then those of each plant from A to Z."""
    listed = []
    for plant in site.knowledge.plants.values():
        for cause in plant.causes.values():
            yield site.page(
                cause_address(cause.id),
                "cause.html.j2",
                title=cause.name,
                description=cause.in_short,
                view=cause_view(site, plant, cause),
                search=True,
                plant=plant.id,
            )
        by_name = sorted(plant.causes.values(), key=lambda it: _letter(site, it.name))
        listed.append((plant, by_name))
    yield site.reference("causes", CAUSES, {"plants": listed, "whole": key_links(site)})


def cause_view(site: Site, plant: Plant, cause: Cause) -> View:
    """Everything about one cause."""
    tiers = _tiers(site.desks[plant.id], cause)
    controls = [step["control"] for steps in tiers.values() for step in steps]
    return {
        "plant": plant,
        "of_plant": site.plant_named(plant.id),
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
        "read_more": site.topics_at(cause.read_more),
        "sheets": cause_links(site, cause),
        "drawings": site.drawings,
        "sources": cited(site.knowledge.sources, cause, *controls),
        "reviewed": cause.reviewed,
    }


def _tiers(desk: PlantDesk, cause: Cause) -> dict[str, list[View]]:
    """The steps of the plan by tier, gentlest first."""
    found: dict[str, list[View]] = {tier: [] for tier in TIERS}
    for step in cause.plan:
        control = desk.controls[step.control]
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


def _control_pages(site: Site) -> Iterator[SitePage]:
    """A page for each control, the list of all, and the list of what not to do."""
    # As all plants read them; where there is one plant, as that one does.
    desks = [*site.desks.values()]
    of_all = desks[0].controls if len(desks) == 1 else site.knowledge.controls
    controls = of_all.values()
    for control in controls:
        yield site.page(
            control_address(control.id),
            "control.html.j2",
            title=control.name,
            description=control.in_short,
            view=control_view(site, control),
            search=True,
            plant=control.plant,
        )
    by_name = sorted(controls, key=lambda each: each.name.lower())
    tiers = {tier: [it for it in by_name if it.tier == tier] for tier in TIERS}
    advised = {tier: it for tier, it in tiers.items() if it and tier != AGAINST}
    yield site.reference("controls", CONTROLS, advised)
    against = [control for control in controls if control.tier == AGAINST]
    yield site.reference("not_recommended", NOT_RECOMMENDED, against)


def control_view(site: Site, control: Control) -> View:
    """Everything about one control, and the causes whose plan it stands in."""
    plants = site.knowledge.plants.values()
    used_for = [(plant, _planned(plant, control.id)) for plant in plants]
    lines = {
        plant.plural: plant.control_lines[control.id]
        for plant in plants
        if len(plants) > 1 and control.id in plant.control_lines
    }
    further = (*control.read_more, *(it for own in lines.values() for it in own.read_more))
    return {
        "control": control,
        "lines": lines,  # of each plant, where there is more than one
        "of_plant": site.plant_named(control.plant),
        "used_for": [(site.plant_named(it.id), found) for it, found in used_for if found],
        "read_more": site.topics_at(further),
        "drawing": control.id if control.id in site.drawings else "",
        "sources": cited(site.knowledge.sources, control, *lines.values()),
        "reviewed": control.reviewed,
    }


def _planned(plant: Plant, control: str) -> list[Cause]:
    """The causes of a plant in whose plan a control stands, by name."""
    causes = plant.causes.values()
    found = [it for it in causes if any(step.control == control for step in it.plan)]
    return sorted(found, key=lambda it: it.name.lower())


def _other_pages(site: Site) -> Iterator[SitePage]:
    """Topics and their list, help, who we are, sources, and the lost page."""
    knowledge = site.knowledge
    for topic in knowledge.topics.values():
        yield site.page(
            topic_address(topic),
            "topic.html.j2",
            title=topic.title,
            description=topic.in_short,
            view={
                "topic": topic,
                "of_plant": site.plant_named(topic.plant),
                "read_more": site.topics_at(topic.read_more),
                "sources": cited(knowledge.sources, topic),
                "reviewed": topic.reviewed,
            },
            shell="reference",
            search=True,
            plant=topic.plant,
        )
    pets = {
        it.name: it.notes["pets"] for it in knowledge.plants.values() if "pets" in it.notes
    }
    emergencies = {
        "emergencies": knowledge.emergencies,
        "eaten": EATEN,
        "despair": DESPAIR,
        "pets": pets,  # what is known of each plant
        "sources": cited(knowledge.sources, knowledge.emergencies, *pets.values()),
        "reviewed": knowledge.emergencies.checked,
    }
    about = {"sources": knowledge.sources, "bands": BANDS}
    yield site.reference("topics", TOPICS, topics_view(site))
    yield site.reference("local_help", LOCAL_HELP, knowledge)
    yield site.reference("emergencies", EMERGENCIES, emergencies)
    yield site.reference("about", ABOUT, about)
    yield site.reference("sources", SOURCES, knowledge.sources.values())
    yield site.page(LOST, "lost.html.j2", title=site.said("titles.lost"), view=None)


def topics_view(site: Site) -> dict[str, list[tuple[str, list[Topic]]]]:
    """For each audience its topics: those of any plant, then those of each."""
    topics = sorted(site.knowledge.topics.values(), key=lambda it: it.title.lower())
    names = dict.fromkeys(("", *map(site.plant_named, site.knowledge.plants)))

    def told(audience: str, name: str) -> list[Topic]:
        mine = (it for it in topics if it.audience == audience)
        return [it for it in mine if site.plant_named(it.plant) == name]

    return {
        audience: [(name, found) for name in names if (found := told(audience, name))]
        for audience in AUDIENCES
    }


def assets(site: Site) -> Iterator[Asset]:
    """The style of reference pages: linked and not inlined, as the theme's own is."""
    sheet = site.templates.sheet("pens", "reference", "how_sure")
    yield Asset(address=f"{FOLDER}reference.css", content=sheet.encode())
