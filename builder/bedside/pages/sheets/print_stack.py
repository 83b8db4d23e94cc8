"""The print stack: a file of orders in, the right sheet for each in packing order out.

A stack is one document, so the printer gets one job and the sheets come out in the order
in which the boxes stand.
"""

import csv
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from bedside.model.handout import Handout
from bedside.model.records import Zone
from bedside.model.season import SeasonKnowledge
from bedside.pages.sheets.printing import Desk, Paper, Printed, bind
from bedside.pages.sheets.sheet_jobs import Job, guide_jobs
from bedside.pages.sheets.sheet_words import UNSURE
from bedside.problems import Problem
from bedside.read import plain_csv
from bedside.read.layout import at_file

ZIP_COLUMNS = ("zip", "zip code", "zipcode", "postal code", "postcode")
ORDER_COLUMNS = ("order", "order number", "order id", "number", "id")
MOST_ORDERS = 5000
_ZIP = re.compile(r"(\d{5})(?:-?\d{4})?")
_SHORT_ZIP = re.compile(r"\d{3,4}")


@dataclass(frozen=True, kw_only=True, slots=True)
class Order:
    """One box: the line of the file it stands on, its number, its ZIP as written."""

    line: int
    number: str
    zip: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Placed:
    """An order with the region of its sheet; `note` says what the packer should know."""

    order: Order
    region: str
    note: str = ""


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
    name: str, content: bytes
) -> tuple[tuple[Order, ...], tuple[Problem, ...]]:
    """Read a CSV file of orders; only the columns of ZIP and order number matter."""
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
    orders = tuple(
        Order(
            line=parsed.values[row, zip_column][0],
            number=str(cells[number_column]).strip() if number_column else str(row + 1),
            zip=str(cells[zip_column]).strip(),
        )
        for row, cells in enumerate(parsed.data)
    )
    return orders, tuple(_faults(name, orders))


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
    printed: Mapping[str, bytes],
    guides: Sequence[Job],
    placed: Sequence[Placed],
) -> Printed:
    """One PDF, a sheet for each order; half sheets two and two, left before right.

    `guides` are the guides of one plant on one paper, `printed` their PDFs by region.
    """
    paper, sheet = guides[0].paper, guides[0].sheet
    regions = sorted({it.region for it in placed})
    day = date.fromisoformat(guides[0].date)
    data = {
        "title": f"{sheet['title']}, {sheet['nursery']}",
        "author": guides[0].desk.knowledge.nursery.name,
        "date": [day.year, day.month, day.day],
        "width": paper.width,
        "height": paper.height,
        "pages": list(_pages(paper, [regions.index(it.region) for it in placed])),
    }
    return bind(data, [printed[region] for region in regions], guides[0].desk.theme)


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
    names = {job.about: str(job.sheet["place"]) for job in guides}
    counts = Counter(it.region for it in placed)
    yield f"{len(placed)} sheets in packing order, on {guides[0].paper.name}:"
    for region, name in names.items():
        if counts[region]:
            yield f"  {counts[region]:4}  {name}"
    for it in placed:
        if it.note:
            sheet = "" if it.region != UNSURE else "; the general sheet"
            yield f"line {it.order.line}, order {it.order.number}: {it.note}{sheet}"
