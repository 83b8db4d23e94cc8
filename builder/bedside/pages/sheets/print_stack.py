"""The print stack: a file of orders in, the right sheet for each in packing order out.

A stack is one document, so the printer gets one job and the sheets come out in the order
in which the boxes stand.
"""

import csv
import re
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from bedside.model.handout import Handout
from bedside.model.library import Span
from bedside.model.records import Plant, Zone
from bedside.model.season import SeasonKnowledge
from bedside.pages.sheets.printing import Desk, Paper, Printed, bind
from bedside.pages.sheets.sheet_jobs import Job, guide_jobs
from bedside.pages.sheets.sheet_words import UNSURE
from bedside.problems import Problem, did_you_mean
from bedside.read import plain_csv
from bedside.read.layout import at_file
from bedside.read.plain_text import Parsed

ZIP_COLUMNS = ("zip", "zip code", "zipcode", "postal code", "postcode")
ORDER_COLUMNS = ("order", "order number", "order id", "number", "id")
PLANT_COLUMNS = ("plant",)
MOST_ORDERS = 5000
_ZIP = re.compile(r"(\d{5})(?:-?\d{4})?")
_SHORT_ZIP = re.compile(r"\d{3,4}")


@dataclass(frozen=True, kw_only=True, slots=True)
class Order:
    """One box: its line in the file, its number, its ZIP as written, the plant in it."""

    line: int
    number: str
    zip: str
    plant: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Placed:
    """An order with the region of its sheet; `note` says what the packer should know."""

    order: Order
    region: str
    note: str = ""

    @property
    def sheet(self) -> tuple[str, str]:
        """Which of all guides it gets."""
        return self.order.plant, self.region


@dataclass(frozen=True, kw_only=True, slots=True)
class Atlas:
    """How a ZIP code leads to a region that has a sheet."""

    states: Mapping[str, str]  # first three digits -> state
    regions: Mapping[str, str]  # state -> region

    def place(self, order: Order) -> Placed:
        """Find the region of one order."""
        digits, note = _digits(order.zip)
        region = self.regions.get(self.states.get(digits[:3], ""), UNSURE)
        if region == UNSURE:
            note = f"ZIP '{order.zip}' is not known"
        return Placed(order=order, region=region, note=note)


def atlas_of(
    handout: Handout, season: SeasonKnowledge | None, zones: Mapping[str, Zone]
) -> Atlas:
    """Join ZIP areas, states and the regions that the grower wrote."""
    areas = season.zips if season else {}
    return Atlas(
        states={digits: area.state for digits, area in areas.items()},
        regions={state: zone for zone in handout.regions for state in zones[zone].states},
    )


def _digits(written: str) -> tuple[str, str]:
    found = _ZIP.fullmatch(written)
    if found:
        return found[1], ""
    if _SHORT_ZIP.fullmatch(written):
        # Spreadsheets take a ZIP for a number and drop the zero in front.
        return written.zfill(5), f"ZIP '{written}' is read as {written.zfill(5)}"
    return "", ""


def read_order_rows(
    name: str, content: bytes, plants: Collection[Plant] = (), usual: str = ""
) -> tuple[tuple[Order, ...], tuple[Problem, ...]]:
    """Read a CSV file of orders: the columns of ZIP, order number and plant.

    `plants` may be ordered; `usual` is meant where an order names none.
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return (), (at_file(name, "not-utf-8", "this is not UTF-8", "save it as UTF-8"),)
    text = text.replace("\r\n", "\n")  # as a shop's export has it
    header = next(csv.reader(text.splitlines()[:1]), [])
    zip_column = _column(header, ZIP_COLUMNS)
    if zip_column is None:
        hint = f"call one of them {', '.join(ZIP_COLUMNS)}"
        return (), (at_file(name, "no-zip", "no column holds the ZIP codes", hint),)
    parsed = plain_csv.parse(name, text, header)
    if parsed.problems:
        return (), tuple(parsed.problems)
    number_column = _column(header, ORDER_COLUMNS)
    ordered = _plants_ordered(parsed, _column(header, PLANT_COLUMNS), plants, usual)
    if parsed.problems:
        return (), tuple(parsed.problems)
    orders = tuple(
        Order(
            line=_place(parsed, row)[0],
            number=str(cells[number_column]).strip() if number_column else str(row + 1),
            zip=str(cells[zip_column]).strip(),
            plant=ordered[row],
        )
        for row, cells in enumerate(parsed.data)
    )
    return orders, tuple(_faults(name, orders))


def _plants_ordered(
    parsed: Parsed, column: str | None, plants: Collection[Plant], usual: str
) -> list[str]:
    """The plant of each row; a row whose plant is not known is a problem."""
    called = {
        name.lower(): it.id
        for it in plants
        for name in (it.id, it.name, it.plural, *it.also_called)
    }
    found = []
    for row, cells in enumerate(parsed.data):
        written = str(cells[column]).strip() if column else ""
        found.append(called.get(written.lower(), "") if written else usual)
        if plants and not found[-1]:
            parsed.report(_place(parsed, row), *_plant_fault(written, plants))
    return found


def _place(parsed: Parsed, row: int) -> Span:
    """Where the first cell of a row stands that holds anything."""
    cells = ((row, column) for column in parsed.data[row])
    return next(parsed.values[it] for it in cells if it in parsed.values)


def _plant_fault(written: str, plants: Collection[Plant]) -> tuple[str, str, str]:
    names = [it.id for it in plants]
    choice = f"a column 'plant' holds one of {', '.join(names)}"
    if not written:
        hint = f"{choice}; or say --plant for orders that name none"
        return "no-plant", "this order does not say which plant is in the box", hint
    said = f"no plant that has a guide is called '{written}'"
    return "unknown-plant", said, did_you_mean(written, names) or choice


def _column(header: Sequence[str], names: Sequence[str]) -> str | None:
    return next((it for it in header if it.strip().lower() in names), None)


def _faults(name: str, orders: Sequence[Order]) -> Iterator[Problem]:
    if not orders:
        yield at_file(name, "no-orders", "there is no order in this file", "add one")
    if len(orders) > MOST_ORDERS:
        yield at_file(
            name, "many-orders", f"more than {MOST_ORDERS} orders", "print them in parts"
        )


def print_stack(
    printed: Mapping[tuple[str, str], bytes],
    guides: Sequence[Job],
    placed: Sequence[Placed],
) -> Printed:
    """One PDF, a sheet for each order; half sheets two and two, left before right.

    `guides` are the guides on one paper, `printed` their PDFs by plant and region.
    """
    paper, sheet = guides[0].paper, guides[0].sheet
    titles = dict.fromkeys(str(it.sheet["title"]) for it in guides)
    needed = sorted({it.sheet for it in placed})
    day = date.fromisoformat(guides[0].date)
    data = {
        "title": f"{'; '.join(titles)}, {sheet['nursery']}",
        "author": guides[0].desk.knowledge.nursery.name,
        "date": [day.year, day.month, day.day],
        "width": paper.width,
        "height": paper.height,
        "pages": list(_pages(paper, [needed.index(it.sheet) for it in placed])),
    }
    return bind(data, [printed[it] for it in needed], guides[0].desk.theme)


def _pages(paper: Paper, sheets: Sequence[int]) -> Iterator[Sequence[int | None]]:
    if not paper.half:
        yield from ((sheet,) for sheet in sheets)
        return
    for at in range(0, len(sheets), 2):
        left, *right = sheets[at : at + 2]
        yield (left, right[0] if right else None)


def guides_on(desk: Desk, season: SeasonKnowledge | None, paper: str) -> tuple[Job, ...]:
    """The guides of a plant on one paper."""
    return tuple(it for it in guide_jobs(desk, season) if it.paper.id == paper)


def summary(guides: Sequence[Job], placed: Sequence[Placed]) -> Iterator[str]:
    """What the packer should know: how many of each, and every order with a note."""
    several = len({job.desk.plant.id for job in guides}) > 1
    names = {
        job.region_of: f"{job.desk.plant.name}: " * several + str(job.sheet["place"])
        for job in guides
    }
    counts = Counter(it.sheet for it in placed)
    yield f"{len(placed)} sheets in packing order, on {guides[0].paper.name}:"
    for sheet_of, name in names.items():
        if counts[sheet_of]:
            yield f"  {counts[sheet_of]:4}  {name}"
    for it in placed:
        if it.note:
            sheet = "" if it.region != UNSURE else "; the general sheet"
            yield f"line {it.order.line}, order {it.order.number}: {it.note}{sheet}"
