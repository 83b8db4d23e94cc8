"""The desk of a site: everything that page kinds need, and how one page is made."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from bedside.cache import Kept
from bedside.model.library import Library
from bedside.model.published_addresses import promised_of
from bedside.model.records import Control, Knowledge, Plant, Topic
from bedside.model.season import SeasonKnowledge
from bedside.pages.frame.addresses import SEASON
from bedside.pages.frame.assets import Asset
from bedside.pages.frame.drawings import merged
from bedside.pages.frame.templates import PageFacts, Templates, templates
from bedside.read.sheet_theme import SheetTheme
from bedside.read.theme import Theme
from bedside.reason.arrival import Arrived, arrived
from bedside.reason.evidence import Evidence, weigh

Shell = Literal["lean", "reference"]
# What one page shows: plain records, and beside them the values that had to be worked out.
View = dict[str, Any]
Words = Mapping[str, Any]  # of words.json


@dataclass(frozen=True, kw_only=True, slots=True)
class SitePage:
    """One page. Lean: `html` is the whole document; reference: what the article holds."""

    address: str
    title: str
    description: str
    html: str
    shell: Shell
    search: bool
    plant: str = ""  # what it is about alone, by name, on a site of several plants


@dataclass(frozen=True, kw_only=True, slots=True)
class PlantDesk:
    """A plant with its evidence weighed once and its tree walked once."""

    plant: Plant
    controls: Mapping[str, Control]  # shared and its own, as they hold for this plant
    evidence: Evidence
    arrived: Mapping[str, Arrived]  # of every question and end
    above: Mapping[str, str]  # place of the tree -> the question before it


@dataclass(frozen=True, kw_only=True, slots=True)
class Site:
    """What page kinds may use. Pure: nothing here reads or writes a file."""

    library: Library
    theme: Theme
    templates: Templates
    desks: Mapping[str, PlantDesk]
    drawings: Mapping[str, str]  # of all plants
    season: SeasonKnowledge | None = None
    kept: Kept = field(default_factory=Kept)
    hasty: bool = False  # somebody waits to see a page: what takes long may come later

    @property
    def knowledge(self) -> Knowledge:
        return self.library.knowledge

    @property
    def words(self) -> Words:
        return self.theme.words

    @property
    def sheets(self) -> SheetTheme:
        return self.theme.sheets

    @property
    def trained(self) -> Mapping[str, Any]:
        return self.theme.trained

    def year_of(self, cause: str) -> str:
        """Where the year of a cause is told by place; empty if its season is not known."""
        insects = self.season.insects if self.season else ()
        return SEASON if any(insect.id == cause for insect in insects) else ""

    def plant_named(self, plant: str) -> str:
        """The name of a plant, where a site of several has to tell them apart."""
        plants = self.knowledge.plants
        return plants[plant].name if plant and len(plants) > 1 else ""

    def topics_at(self, addresses: Iterable[str]) -> list[Topic]:
        """The topics at these addresses, each once."""
        known = {topic.address: topic for topic in self.knowledge.topics.values()}
        return [known[address] for address in dict.fromkeys(addresses)]

    def old_ids(self, plant: str) -> dict[str, Any]:
        """Ids of old links: where they are now, and those that ended."""
        promised = promised_of(self.library)
        ended = sorted(promised.ended_answers.get(plant, {}))
        return {"moved": promised.heirs(plant), "ended": ended}

    def page(  # noqa: PLR0913 - the facts of a page, all but two by name
        self,
        address: str,
        template: str,
        *,
        title: str,
        view: object,
        description: str = "",
        shell: Shell = "lean",
        search: bool = False,
        plant: str = "",
        drawings: Mapping[str, str] | None = None,
    ) -> SitePage:
        """Render one page. `title` must be unique; `drawings` default to all plants'.

        `plant` is the id of the one that it is about alone.
        """
        facts = PageFacts(address=address, title=title, description=description or title)
        html = self.templates.render(
            template, facts, self.drawings if drawings is None else drawings, view
        )
        return SitePage(
            address=address,
            title=title,
            description=facts.description,
            html=html,
            shell=shell,
            search=search,
            plant=self.plant_named(plant),
        )

    def reference(self, name: str, address: str, view: object) -> SitePage:
        """A page of the reference shell; its title and description are in words.json."""
        return self.page(
            address,
            f"{name}.html.j2",
            title=self.said(f"titles.{name}"),
            description=self.said(f"descriptions.{name}"),
            view=view,
            shell="reference",
            search=True,
        )

    def said(self, name: str, /, **facts: str) -> str:
        """A title or a description of words.json, as "titles.lost", its slots filled."""
        key, _, name = name.partition(".")
        return str(self.words[key][name]).format(**facts)


def says_of_reference(*names: str) -> dict[str, tuple[str, ...]]:
    """What words.json must say of pages of the reference shell."""
    return {f"{key}.{it}": () for key in ("titles", "descriptions") for it in names}


@dataclass(frozen=True, slots=True, eq=False)
class Asker:
    """Who asks for sheets or keys: every page of one build asks for the same."""

    site: Site

    def __hash__(self) -> int:
        return hash((id(self.site.library), id(self.site.season)))

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Asker)
            and self.site.library is other.site.library
            and self.site.season is other.site.season
        )


def desk(plant: Plant, controls: Mapping[str, Control]) -> PlantDesk:
    """Weigh a plant's evidence and walk its tree."""
    evidence = weigh(plant)
    return PlantDesk(
        plant=plant,
        controls={id_: plant.fitted(it) for id_, it in controls.items()},
        evidence=evidence,
        arrived=arrived(evidence, plant.tree),
        above={
            to: question.id
            for question in plant.tree.questions.values()
            for to in (*question.ways.values(), question.otherwise)
        },
    )


def site(library: Library, theme: Theme, files: tuple[Asset, ...] = ()) -> Site:
    """Put the desk together; pages may name these files."""
    knowledge = library.knowledge
    drawings = merged({id_: plant.drawings for id_, plant in knowledge.plants.items()})
    return Site(
        library=library,
        theme=theme,
        templates=templates(theme, knowledge.nursery, files),
        desks={
            id_: desk(it, knowledge.controls_of(id_))
            for id_, it in knowledge.plants.items()
        },
        drawings=drawings,
    )
