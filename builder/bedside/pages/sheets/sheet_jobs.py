"""The sheets of a site: which there are, what each is made of, every fault of each.

records -> views -> documents -> PDFs, kept from an earlier build if nothing changed
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from bedside.cache import Kept
from bedside.model.handout import Handout
from bedside.model.library import Library
from bedside.model.records import Plant
from bedside.model.season import SeasonKnowledge
from bedside.pages.frame.drawings import standalone
from bedside.pages.sheets.printing import Printed, key_of_sheet, print_sheet
from bedside.pages.sheets.sheet_words import UNSURE, Data, Desk, cause_sheet, guide
from bedside.pages.sheets.year_strip import Strip, strip_of
from bedside.problems import Problem
from bedside.read.handout import handout_of
from bedside.read.sheet_theme import SheetTheme

PAPER_WHITE = "#FFFFFF"
# At most so many letters: someone types this address off a damp sheet.
LONGEST_ADDRESS = 32


@dataclass(frozen=True, kw_only=True, slots=True)
class Paper:
    """A paper as it lies in the tray, millimetres; a half sheet comes two on one."""

    id: str
    name: str
    width: float
    height: float
    half: bool = False


PAPERS: Mapping[str, Paper] = {
    it.id: it
    for it in (
        Paper(id="letter", name="US Letter", width=215.9, height=279.4),
        Paper(id="a4", name="A4", width=210.0, height=297.0),
        Paper(
            id="letter-half", name="US Letter, two halves", width=279.4, height=215.9,
            half=True,
        ),
        Paper(id="a4-half", name="A4, two halves", width=297.0, height=210.0, half=True),
    )
}  # fmt: skip
WHOLE = tuple(it for it in PAPERS.values() if not it.half)


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """One sheet to print: paper, and what it says. `about` is a region or a cause."""

    plant: str
    about: str
    is_cause: bool
    paper: Paper
    title: str
    sheet: Data
    date: str
    theme: SheetTheme

    @property
    def address(self) -> str:
        """Where the PDF stands on the site."""
        if self.is_cause:
            return f"guide/causes/{self.about}-{self.paper.id}.pdf"
        return f"guide/{self.plant}-{self.about}-{self.paper.id}.pdf"


def jobs(
    library: Library,
    season: SeasonKnowledge | None,
    theme: SheetTheme,
    kept: Kept | None = None,
) -> tuple[Job, ...]:
    """Every sheet of a site: guides by region and paper, then causes by paper."""
    return tuple(
        job
        for plant in library.knowledge.plants.values()
        for desk in [desk_of(library, plant, theme, kept)]
        for job in (*_guide_jobs(library, season, desk), *_cause_jobs(desk))
    )


def guide_jobs(
    library: Library, season: SeasonKnowledge | None, plant: Plant, theme: SheetTheme
) -> Iterator[Job]:
    """The guides of one plant, if the grower wrote any."""
    yield from _guide_jobs(library, season, desk_of(library, plant, theme))


def _guide_jobs(
    library: Library, season: SeasonKnowledge | None, desk: Desk
) -> Iterator[Job]:
    plant = desk.plant
    handout = handout_of(library, plant.id)
    if handout is None:
        return
    for region in (*handout.regions, UNSURE):
        strip = _strip(library, season, handout, region)
        for paper in PAPERS.values():
            sheet = guide(desk, handout, region, strip, half=paper.half)
            yield Job(
                plant=plant.id, about=region, is_cause=False, paper=paper,
                title=desk.words["document"].format(
                    title=handout.title, region=sheet["place"], nursery=sheet["nursery"]
                ),
                sheet=sheet, date=handout.reviewed, theme=desk.theme,
            )  # fmt: skip


def _strip(
    library: Library, season: SeasonKnowledge | None, handout: Handout, region: str
) -> Strip | None:
    states = None if region == UNSURE else library.knowledge.zones[region].states
    return strip_of(handout, season, states)


def _cause_jobs(desk: Desk) -> Iterator[Job]:
    plant = desk.plant
    for cause in plant.causes.values():
        sheet = cause_sheet(desk, cause)
        for paper in WHOLE:
            yield Job(
                plant=plant.id, about=cause.id, is_cause=True, paper=paper,
                title=desk.words["cause_document"].format(
                    name=cause.name, nursery=sheet["nursery"]
                ),
                sheet=sheet, date=cause.reviewed, theme=desk.theme,
            )  # fmt: skip


def desk_of(
    library: Library, plant: Plant, theme: SheetTheme, kept: Kept | None = None
) -> Desk:
    """What the views of one plant are made from."""
    return Desk(
        knowledge=library.knowledge,
        plant=plant,
        theme=theme,
        kept=kept or Kept(),
    )


def document(library: Library, job: Job) -> dict[str, Any]:
    """What the template prints: one page with a sheet, or twice the same half sheet."""
    day = date.fromisoformat(job.date)
    return {
        "title": job.title,
        "author": library.knowledge.nursery.name,
        "date": [day.year, day.month, day.day],
        "colours": {**library.knowledge.nursery.light, "paper": PAPER_WHITE},
        "words": job.theme.words,
        "width": job.paper.width,
        "height": job.paper.height,
        "half": job.paper.half,
        "sheet": job.sheet,
        "pictures": _pictures(library, job.sheet),
    }


def _pictures(library: Library, sheet: Data) -> dict[str, str]:
    palette = {**library.knowledge.nursery.light, "paper": PAPER_WHITE}
    found = {}
    for name in sorted(set(_named(sheet))):
        plant, _, drawing = name.partition("/")
        drawings = library.knowledge.plants[plant].drawings
        found[name] = standalone(drawings, drawing, palette)
    return found


def _named(data: Any) -> Iterator[str]:
    """Every picture that a sheet names."""
    if isinstance(data, dict):
        if data.keys() >= {"name", "alt"}:
            yield data["name"]
        for item in data.values():
            yield from _named(item)
    elif isinstance(data, list):
        for item in data:
            yield from _named(item)


def sheet_key(library: Library, job: Job) -> str:
    """One name for all that goes into one sheet."""
    return key_of_sheet(document(library, job), job.theme)


def print_job(library: Library, job: Job) -> Printed:
    """Print one sheet."""
    return print_sheet(document(library, job), job.theme)


def faults_of(library: Library, job: Job, printed: Printed) -> Iterator[Problem]:
    """Why a sheet could not be printed, at the record that is at fault."""
    file, path = job.sheet["at"]
    what = f"the sheet '{job.title}' on {job.paper.name}"
    for it in printed.too_tall:
        yield library.problem(
            it.file, it.path, "sheet-overflow",
            f"{what}: this is {it.by_mm} mm too tall for its place",
            "write less; type is never made smaller",
        )  # fmt: skip
    if printed.refused:
        yield library.problem(
            file, tuple(path), "sheet-refused", f"{what}: {printed.refused}",
            "use letters that our fonts have, and give each drawing its words",
        )  # fmt: skip
    address = job.sheet["code"]["address"]
    if not job.is_cause and len(address) > LONGEST_ADDRESS:
        yield library.problem(
            file, tuple(path), "sheet-address",
            f"{what}: '{address}' is longer than {LONGEST_ADDRESS} letters",
            "give it a short address",
        )  # fmt: skip
