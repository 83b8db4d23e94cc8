"""The sheets of a site: which there are, what each is made of, every fault of each.

records -> views -> documents -> PDFs, kept from an earlier build if nothing changed
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from bedside.cache import Kept
from bedside.model.library import Library
from bedside.model.season import SeasonKnowledge
from bedside.pages.frame.drawings import standalone
from bedside.pages.sheets.printing import (
    PAPERS,
    WHOLE,
    Desk,
    Paper,
    Printed,
    key_of_sheet,
    print_sheet,
)
from bedside.pages.sheets.sheet_words import UNSURE, Data, cause_sheet, guide, strip_of
from bedside.problems import Problem
from bedside.read.assemble import handout_of
from bedside.read.sheet_theme import SheetTheme

# At most so many letters: someone types this address off a damp sheet.
LONGEST_ADDRESS = 32
OF_A_TEXT = "write less; type is never made smaller"
OF_THE_MAIL = "the site's and the mail's address stand there: give a shorter one of them"


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """One sheet to print: paper, and what it says. `about` is a region or a cause."""

    desk: Desk
    about: str
    is_cause: bool
    paper: Paper
    title: str
    sheet: Data
    date: str

    @property
    def region_of(self) -> tuple[str, str]:
        """Plant and region of a guide: by these an order finds its sheet."""
        return self.desk.plant.id, self.about

    @property
    def address(self) -> str:
        """Where the PDF stands on the site."""
        if self.is_cause:
            return f"guide/causes/{self.about}-{self.paper.id}.pdf"
        return f"guide/{self.desk.plant.id}-{self.about}-{self.paper.id}.pdf"


def jobs(
    library: Library,
    season: SeasonKnowledge | None,
    theme: SheetTheme,
    kept: Kept | None = None,
) -> Iterator[Job]:
    """Every sheet of a site: guides by region and paper, then causes by paper."""
    for plant in library.knowledge.plants.values():
        desk = Desk(library=library, plant=plant, theme=theme, kept=kept or Kept())
        yield from guide_jobs(desk, season)
        yield from _cause_jobs(desk)


def guide_jobs(desk: Desk, season: SeasonKnowledge | None) -> Iterator[Job]:
    """The guides of one plant, if the grower wrote any."""
    handout = handout_of(desk.library, desk.plant.id)
    if handout is None:
        return
    zones = desk.knowledge.zones
    for region in (*handout.regions, UNSURE):
        states = None if region == UNSURE else zones[region].states
        strip = strip_of(handout, season and season.of(desk.plant.id), states)
        for paper in PAPERS.values():
            sheet = guide(desk, handout, region, strip, half=paper.half)
            yield Job(
                desk=desk, about=region, is_cause=False, paper=paper,
                title=desk.words["document"].format(
                    title=handout.title, region=sheet["place"], nursery=sheet["nursery"]
                ),
                sheet=sheet, date=handout.reviewed,
            )  # fmt: skip


def _cause_jobs(desk: Desk) -> Iterator[Job]:
    for cause in desk.plant.causes.values():
        sheet = cause_sheet(desk, cause)
        for paper in WHOLE:
            yield Job(
                desk=desk, about=cause.id, is_cause=True, paper=paper,
                title=desk.words["cause_document"].format(
                    name=cause.name, nursery=sheet["nursery"]
                ),
                sheet=sheet, date=cause.reviewed,
            )  # fmt: skip


def document(job: Job) -> dict[str, Any]:
    """What the template prints: one page with a sheet, or twice the same half sheet."""
    nursery, day = job.desk.knowledge.nursery, date.fromisoformat(job.date)
    return {
        "title": job.title,
        "author": nursery.name,
        "date": [day.year, day.month, day.day],
        "colours": job.desk.palette,
        "words": job.desk.words,
        "width": job.paper.width,
        "height": job.paper.height,
        "half": job.paper.half,
        "sheet": job.sheet,
        "pictures": _pictures(job),
    }


def _pictures(job: Job) -> dict[str, str]:
    found = {}
    for name in sorted(set(_named(job.sheet))):
        drawing = name.partition("/")[2]
        found[name] = standalone(job.desk.plant.drawings, drawing, job.desk.palette)
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


def sheet_key(job: Job) -> str:
    """One name for all that goes into one sheet."""
    return key_of_sheet(document(job), job.desk.theme)


def print_job(job: Job) -> Printed:
    """Print one sheet."""
    return print_sheet(document(job), job.desk.theme)


def faults_of(job: Job, printed: Printed) -> Iterator[Problem]:
    """Why a sheet could not be printed, at the record that is at fault."""
    library, (file, path) = job.desk.library, job.sheet["at"]
    what = f"the sheet '{job.title}' on {job.paper.name}"
    for it in printed.too_tall:
        yield library.problem(
            it.file, it.path, "sheet-overflow",
            f"{what}: this is {it.by_mm} mm too tall for its place",
            OF_THE_MAIL if it.path == ("email",) else OF_A_TEXT,
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
