"""The key on paper: measure every row, find its place, print; say what was in the way."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import Any

from bedside.cache import digest
from bedside.model.library import Library
from bedside.model.records import Plant
from bedside.pages.frame.addresses import key_address
from bedside.pages.sheets.key_columns import SIDES, SMALLEST, Measured, Plan, planned
from bedside.pages.sheets.key_place import Found, sides_of
from bedside.pages.sheets.key_rows import branches_of
from bedside.pages.sheets.key_views import key_of
from bedside.pages.sheets.key_words import KeyWords
from bedside.pages.sheets.printing import Printed, measure_key, print_key
from bedside.pages.sheets.sheet_jobs import WHOLE, Paper, desk_of
from bedside.problems import WARNING, Problem
from bedside.read.sheet_theme import SheetTheme

Data = dict[str, Any]


@dataclass(frozen=True, kw_only=True, slots=True)
class KeyJob:
    """One plant's key on one paper."""

    plant: Plant
    paper: Paper
    theme: SheetTheme

    @property
    def address(self) -> str:
        """Where the PDF stands on the site."""
        return f"{key_address(self.plant)}{self.plant.id}-key-{self.paper.id}.pdf"


@dataclass(frozen=True, kw_only=True, slots=True)
class KeyPrinted:
    """A printed key: how many sides it takes, and its size of type in points."""

    printed: Printed
    sides: int
    size: float


def key_jobs(plant: Plant, theme: SheetTheme) -> tuple[KeyJob, ...]:
    """The papers of a plant's key."""
    return tuple(KeyJob(plant=plant, paper=paper, theme=theme) for paper in WHOLE)


def key_of_key(library: Library, job: KeyJob) -> str:
    """One name for all that goes into one key."""
    theme, words = job.theme, key_words(library, job)
    parts = (job.paper, words.sheet(SMALLEST), words.desk.words, words.branches,
             _day(job.plant))  # fmt: skip
    return digest((theme.key.encode(), theme.type, *(repr(it).encode() for it in parts)))


def print_key_job(library: Library, job: KeyJob) -> KeyPrinted:
    """Print one key."""
    sheet = KeySheet(key_words(library, job), job.theme)
    plan = planned(sheet.measured)
    printed = print_key(sheet.document(plan), job.theme)
    return KeyPrinted(printed=printed, sides=plan.sides, size=plan.size)


def key_faults(library: Library, job: KeyJob, made: KeyPrinted) -> Iterator[Problem]:
    """What a grower should know of a key: that it has more than one sheet, or none."""
    file, what = job.plant.tree.file, f"the key on {job.paper.name}"
    if made.printed.refused:
        yield library.problem(
            file, (), "key-refused", f"{what}: {made.printed.refused}",
            "use letters that our fonts have, and give each drawing its words",
        )  # fmt: skip
    if made.sides > SIDES:
        yield library.problem(
            file, (), "key-long",
            f"{what} takes {made.sides} sides, and one sheet has {SIDES}",
            "all are printed; for one sheet, ask fewer questions or use fewer words",
            level=WARNING,
        )  # fmt: skip


def key_words(library: Library, job: KeyJob) -> KeyWords:
    """What a key says."""
    first = key_of(job.plant)
    return KeyWords(
        desk=desk_of(library, job.plant, job.theme),
        paper=job.paper,
        first=first,
        branches=branches_of(first),
    )


def _day(plant: Plant) -> str:
    return max(it.reviewed for it in plant.causes.values())


class KeySheet:
    """One key on its way to paper; each size of type is measured once."""

    def __init__(self, words: KeyWords, theme: SheetTheme) -> None:
        self.words, self.theme = words, theme
        self._found: dict[float, Found] = {}

    def measured(self, size: float) -> Measured:
        """What all branches need at a size of type."""
        if size not in self._found:
            self._found[size] = self._measure(size)
        return self._found[size].measured(self.words)

    def document(self, plan: Plan) -> Data:
        """All that stands on the paper, each piece with its place."""
        desk, title = self.words.desk, self.words.title(plan.sides)
        day = date.fromisoformat(_day(desk.plant))
        return {
            **self.words.sheet(plan.size),
            "title": title,
            "date": [day.year, day.month, day.day],
            "document": desk.words["key"]["document"].format(
                title=title, nursery=desk.knowledge.nursery.name
            ),
            "sides": sides_of(self.words, self._found[plan.size], plan),
        }

    def _measure(self, size: float) -> Found:
        words, every = self.words, self.words.branches
        # Rows of one question are the same there: they are measured once.
        agains = [[words.again(it, row) for row in it.rows] for it in every]
        unlike = list({str(it): it for one in agains for it in one}.values())
        found = measure_key(
            {
                **words.sheet(size),
                "heads": [words.head(it.head) for it in every],
                "rows": [words.row(row) for it in every for row in it.rows],
                "agains": unlike,
                # The most that a side may have to say of the others.
                "notes": [words.note(every, number, SIDES) for number in range(SIDES)],
                "tail": words.tail(None),
            },
            self.theme,
        )
        rows = iter(found["rows"])
        return Found(
            size=size,
            heads=found["heads"],
            rows=[list(islice(rows, len(it.rows))) for it in every],
            agains=[[found["agains"][unlike.index(it)] for it in one] for one in agains],
            tail=found["tail"],
            air=found["air"],
            downs=found["downs"],
        )
