"""The sheets as paper: read back from the file, rendered, and measured with a rule.

Published things they are held against: ISO 14289-1 (PDF/UA-1), ISO 19005-2 level A,
ISO/IEC 18004 (the code), coin sizes of the United States Mint, the inch of 25.4 mm.
"""

import hashlib
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pypdfium2
import pytest
import zxingcpp
from PIL import Image, ImageFilter

from bedside.model.library import Library
from bedside.model.season import SeasonKnowledge
from bedside.pages.sheets.print_stack import Order, Placed, guides_on, print_stack
from bedside.pages.sheets.printing import PAPERS, Desk
from bedside.pages.sheets.sheet_jobs import Job, faults_of, jobs, print_job
from bedside.pages.sheets.sheet_words import UNSURE
from bedside.problems import render
from bedside.read.season import read_season
from bedside.read.sheet_theme import read_sheet_theme
from bedside.reason.daily_normals import warmed
from tests.elsewhere import said_far_away
from tests.pages.sheets.sheet_paper import (
    Box,
    Paper,
    pictured,
    rendered,
    text_of,
    type_sizes,
)

ROOT = Path(__file__).parents[3]
SHEET_THEME = read_sheet_theme(ROOT)
KNOWLEDGE = ROOT / "knowledge"
EXACT_MM = 0.05
EDGE_MM = 10.0
MOST_BYTES = 200_000
MOST_WORDS = {False: 230, True: 120}
QUARTER_MM = 24.26  # United States Mint, coin specifications
BODY_PT, SMALL_PT = 12.0, 9.0
HEADS_PT = (13.0, 22.0)
DPI = 600
POINTS_PER_MM = 72 / 25.4
FOLD_FREE_MM = 2.0

Printed = dict[str, tuple[Job, bytes]]

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def season(real: Library) -> SeasonKnowledge:
    found, problems = read_season(KNOWLEDGE, real)
    assert found, problems
    return warmed(found)


@pytest.fixture(scope="module")
def sheets(real: Library, season: SeasonKnowledge) -> Printed:
    """Every sheet of the real knowledge by address, all of them printed."""
    made: Printed = {}
    for job in jobs(real, season, SHEET_THEME):
        printed = print_job(job)
        assert printed.pdf, render(faults_of(job, printed))
        made[job.address] = job, printed.pdf
    return made


@pytest.fixture(scope="module", params=["letter", "a4", "letter-half", "a4-half"])
def paper(request: pytest.FixtureRequest) -> str:
    """The name of a paper: all tests of one are run together."""
    return str(request.param)


@pytest.fixture(scope="module")
def page(sheets: Printed, paper: str) -> Paper:
    """A guide on that paper, rendered large enough to be measured."""
    return rendered(guide_on(sheets, paper), DPI)


def guide_on(sheets: Printed, paper: str, region: str = UNSURE) -> bytes:
    """The guide of a region on one paper."""
    return next(
        pdf
        for job, pdf in sheets.values()
        if job.paper.id == paper and job.about == region and not job.is_cause
    )


def a_few(sheets: Printed) -> list[tuple[Job, bytes]]:
    """A guide on each paper and some causes: all have the same places on the paper."""
    return [
        (job, pdf)
        for at, (job, pdf) in enumerate(sheets.values())
        if (job.about == UNSURE if not job.is_cause else at % 15 == 0)
    ]


def test_every_sheet_is_one_page_of_its_paper(sheets: Printed) -> None:
    """One page, exactly as large as the paper (ISO 216; US Letter 8.5 by 11 in)."""
    for job, pdf in sheets.values():
        with pikepdf.open(_file(pdf)) as file:
            (page,) = file.pages
            _, _, width, height = (float(side) for side in page.mediabox)
        assert width / POINTS_PER_MM == pytest.approx(job.paper.width, abs=EXACT_MM)
        assert height / POINTS_PER_MM == pytest.approx(job.paper.height, abs=EXACT_MM)


def test_every_sheet_is_small(sheets: Printed) -> None:
    """At most 200 KB, so that it opens on one bar of signal."""
    assert {name for name, (_, pdf) in sheets.items() if len(pdf) > MOST_BYTES} == set()


def test_every_sheet_can_be_listened_to(sheets: Printed) -> None:
    """Tagged, named, in a language, pictures in words (ISO 14289-1, W3C PDF1-21)."""
    for job, pdf in sheets.values():
        with pikepdf.open(_file(pdf)) as file:
            root = file.Root
            assert root.MarkInfo.Marked
            assert str(root.Lang) == "en"
            assert root.ViewerPreferences.DisplayDocTitle
            with file.open_metadata() as said:
                assert said["dc:title"] == job.title
                assert said["pdfuaid:part"] == "1"
                assert (said["pdfaid:part"], said["pdfaid:conformance"]) == ("2", "A")
            tags = list(_tags(root.StructTreeRoot.K))
            figures = [tag for tag in tags if tag.get("/S") == "/Figure"]
            assert figures
            assert all(str(tag.get("/Alt", "")).strip() for tag in figures)


def test_headings_skip_no_level(sheets: Printed) -> None:
    """A sheet opens with its title; below it come only headings one level deeper."""
    for _, pdf in sheets.values():
        with pikepdf.open(_file(pdf)) as file:
            kinds = [str(tag.get("/S")) for tag in _tags(file.Root.StructTreeRoot.K)]
        heads = [kind for kind in kinds if re.fullmatch(r"/H\d", kind)]
        assert heads[0] == "/H1"
        assert set(heads) <= {"/H1", "/H2"}


def test_every_font_travels_with_the_sheet(sheets: Printed) -> None:
    """No font is looked for on the printer's machine, and all are the open ones."""
    for _, pdf in sheets.values():
        with pikepdf.open(_file(pdf)) as file:
            found = [
                it
                for it in file.objects
                if isinstance(it, pikepdf.Dictionary)
                and it.get("/Type") == "/FontDescriptor"
            ]
            assert found
            for font in found:
                assert any(key in font for key in ("/FontFile", "/FontFile2", "/FontFile3"))
                assert re.search(r"\+(AtkinsonHyperlegible|Literata)", str(font.FontName))


def test_type_is_never_small(sheets: Printed) -> None:
    """Text is 12 points; only labels are 9; most letters of a sheet are text."""
    for _, pdf in sheets.values():
        sizes = type_sizes(pdf)
        assert set(sizes) <= {SMALL_PT, BODY_PT, *HEADS_PT}
        assert sizes[BODY_PT] > 0.6 * sum(sizes.values())


def test_a_guide_has_few_words(sheets: Printed) -> None:
    """230 words on a whole sheet and 120 on a half, read back from the file."""
    for job, pdf in sheets.values():
        if not job.is_cause:
            words = re.findall(r"\S*[A-Za-z]\S*", text_of(pdf))
            copies = 2 if job.paper.half else 1
            assert len(words) / copies <= MOST_WORDS[job.paper.half], job.address


def test_nothing_stands_near_an_edge(sheets: Printed) -> None:
    """No ink within 10 mm of an edge, where a printer can't reach."""
    for job, pdf in sheets.values():
        paper = rendered(pdf, 75)
        ink = paper.darker(250)
        rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
        near = paper.mm(1)
        assert paper.mm(columns[0]) > EDGE_MM - near, job.address
        assert paper.mm(rows[0]) > EDGE_MM - near, job.address
        assert job.paper.width - paper.mm(columns[-1] + 1) > EDGE_MM - near, job.address
        assert job.paper.height - paper.mm(rows[-1] + 1) > EDGE_MM - near, job.address


def test_no_part_lies_on_another(sheets: Printed) -> None:
    """Text of one part never runs into the next: each line keeps clear of other lines."""
    for job, pdf in sheets.values():
        boxes = sorted(_lines(pdf), key=lambda box: box.top)
        for at, box in enumerate(boxes):
            for other in boxes[at + 1 :]:
                if other.top > box.bottom:
                    break
                across = min(box.right, other.right) - max(box.left, other.left)
                down = min(box.bottom, other.bottom) - max(box.top, other.top)
                assert min(across, down) < 0.3, (job.address, box, other)


def test_the_check_bar_is_exact(page: Paper) -> None:
    """Two inches from end to end and 50 mm to the mark, measured on the rendered page."""
    ends = _ticks(page, *_long_line(page, 48, 54), below=0.6)
    assert ends[-1] - ends[0] == pytest.approx(50.8, abs=EXACT_MM)
    assert ends[1] - ends[0] == pytest.approx(50.0, abs=EXACT_MM)


def test_the_ruler_is_exact(page: Paper) -> None:
    """Every mark of the ruler, millimetres and eighths of an inch."""
    upper, lower = sorted(set(_long_lines(page, 74, 79)))
    eighths = _ticks(page, *upper, below=0.7)
    assert len(eighths) == 25
    for n, at in enumerate(eighths):
        assert at - eighths[0] == pytest.approx(n * 25.4 / 8, abs=EXACT_MM)
    millimetres = _ticks(page, *lower, below=-0.7)
    assert len(millimetres) == 77
    for n, at in enumerate(millimetres):
        assert at - millimetres[0] == pytest.approx(n, abs=EXACT_MM)
    assert eighths[0] == pytest.approx(millimetres[0], abs=EXACT_MM)


def test_the_caterpillars_lie_at_true_size_from_zero(page: Paper) -> None:
    """50 mm and 25 mm from end to end (Mississippi State University, msu7-32), from the
    ruler's zero.
    """
    (upper, left, right), (lower, _, _) = sorted(set(_long_lines(page, 74, 79)))
    zero = _ticks(page, upper, left, right, below=0.7)[0]
    for top, bottom, length in (
        (upper - 11, upper - 0.3, 50),
        (lower + 0.3, lower + 8, 25),
    ):
        found = _extent(page, page.bloom, left - 5, left + 60, top, bottom)
        assert found.width == pytest.approx(length, abs=EXACT_MM)
        assert found.left == pytest.approx(zero, abs=EXACT_MM)


@pytest.mark.parametrize("paper", ["letter"], indirect=True)
def test_an_egg_is_at_true_size(page: Paper) -> None:
    """One millimetre across (University of Georgia, uga1233)."""
    # An egg is the only round patch of bloom below the ruler's height right of the ruler.
    upper = min(_long_lines(page, 74, 79))
    mask = page.bloom.copy()
    mask[: page.px(upper[0] - 12)] = False
    mask[:, : page.px(upper[2] + 1)] = False
    mask[:, page.px(upper[2] + 60) :] = False
    first = min(page.patches(mask), key=lambda box: box.top)
    assert first.width == pytest.approx(1.0, abs=EXACT_MM)
    assert first.height == pytest.approx(1.0, abs=EXACT_MM)


def test_the_coin_is_a_quarter(page: Paper, paper: str) -> None:
    """The outline is 24.26 mm across, to the outer edge of its line."""
    coins = [
        box
        for box in page.patches(page.ink)
        if abs(box.width - box.height) < 0.2 and 23 < box.width < 26
    ]
    assert len(coins) == (2 if "half" in paper else 1)
    for coin in coins:
        assert coin.width == pytest.approx(QUARTER_MM, abs=EXACT_MM)
        assert coin.height == pytest.approx(QUARTER_MM, abs=EXACT_MM)


def worn(image: Image.Image) -> Iterator[tuple[str, Image.Image]]:
    """A sheet as it comes out of a damp box."""
    yield "plain", image
    grey = image.convert("L")  # all that a reader of codes looks at
    yield "grey", grey
    yield "blurred", grey.filter(ImageFilter.GaussianBlur(1.2))
    yield (
        "turned",
        grey.rotate(3, fillcolor="white", expand=True, resample=Image.Resampling.BICUBIC),
    )


def test_the_code_opens_the_promised_address(sheets: Printed) -> None:
    """Read at 150 dpi: every sheet plain; every guide also blurred, turned by 3 degrees
    and in grey.
    """
    for job, pdf in sheets.values():
        page = pictured(rendered(pdf, 150))
        # A cause's code stands at the foot; there are many causes and one machine.
        foot = page.crop((0, page.height * 3 // 4, page.width, page.height))
        ways = [("plain", foot)] if job.is_cause else list(worn(page))
        assert job.sheet["code"]["address"] in re.sub(r"\s", "", text_of(pdf))
        for how, image in ways:
            found = zxingcpp.read_barcodes(image)
            assert found, (job.address, how)
            assert {it.text for it in found} == {job.sheet["code"]["url"]}
            assert f"https://{job.sheet['code']['address']}" == found[0].text


def test_the_code_is_made_for_paper(sheets: Printed) -> None:
    """Level Q, modules of at least half a millimetre, and four white ones all round."""
    for job, pdf in a_few(sheets):
        page = rendered(pdf, 300)
        for code in zxingcpp.read_barcodes(pictured(page)):
            assert code.ec_level == "Q"
            box = _code_box(page, code)
            modules = (box.width / job.sheet["code"]["side"]) ** -1  # whole to black part
            black = 8 / (modules - 1)  # modules without the two quiet zones
            assert box.width / black >= 0.5, job.address
            quiet = 4 * box.width / black
            around = _extent_of_white(page, box, quiet - 0.15)
            assert around, job.address


def test_the_code_is_not_on_a_fold(sheets: Printed) -> None:
    """Folded in half or in thirds, a whole sheet's crease misses the code; a half sheet's
    code stays clear of the cut.
    """
    for job, pdf in a_few(sheets):
        page = rendered(pdf, 150)
        for code in zxingcpp.read_barcodes(pictured(page)):
            box, size = _code_box(page, code), job.paper
            downs = (
                [] if size.half else [size.height * part for part in (1 / 3, 1 / 2, 2 / 3)]
            )
            for at in downs:
                assert not box.top - FOLD_FREE_MM < at < box.bottom + FOLD_FREE_MM
            at = size.width / 2
            assert not box.left - FOLD_FREE_MM < at < box.right + FOLD_FREE_MM


def test_every_feature_shows_in_grey(real: Library) -> None:
    """What is drawn in bloom stands apart from paper and wash as grey too (WCAG 1.4.11)."""
    light = real.knowledge.nursery.light
    grey = {name: _grey(colour) for name, colour in light.items()}
    for name in ("ink", "bloom", "leaf"):
        assert 1.05 / (grey[name] + 0.05) >= 4.5
    assert 1.05 / (grey["line"] + 0.05) >= 3


def test_the_same_bytes_twice(toy: Library) -> None:
    """Another process in another time zone makes the same file."""
    code = (
        "from tests.conftest import TOY, read_clean;"
        "from tests.pages.sheets.test_printing import digests;"
        "print(digests(read_clean(TOY)))"
    )
    assert said_far_away(code) == digests(toy)


def digests(library: Library) -> str:
    """Print a guide on each paper and a cause afresh; give one digest."""
    some = [it for it in jobs(library, None, SHEET_THEME) if it.about in (UNSURE, "thirst")]
    printed = [print_job(job).pdf for job in some]
    assert all(printed)
    return hashlib.sha256(b"".join(printed)).hexdigest()


@pytest.mark.parametrize("paper", PAPERS)
def test_a_stack_is_the_sheets_in_packing_order(
    real: Library, season: SeasonKnowledge, sheets: Printed, paper: str
) -> None:
    """Every page of a stack looks exactly like the sheets of its orders."""
    plant = next(iter(real.knowledge.plants.values()))
    desk = Desk(library=real, plant=plant, theme=SHEET_THEME)
    guides = guides_on(desk, season, paper)
    regions = [job.about for job in guides]
    wanted = [regions[0], regions[-1], regions[2], regions[0], regions[1]]
    placed = [
        Placed(order=Order(line=n, number="", zip="", plant=plant.id), region=region)
        for n, region in enumerate(wanted)
    ]
    pdfs = {job.region_of: sheets[job.address][1] for job in guides}
    stack = print_stack(pdfs, guides, placed)
    assert stack.pdf, stack.refused
    half = PAPERS[paper].half
    with pikepdf.open(_file(stack.pdf)) as file:
        assert len(file.pages) == (3 if half else 5)
    for at, region in enumerate(wanted):
        page = rendered(stack.pdf, 100, at // 2 if half else at)
        _same(page, rendered(pdfs[plant.id, region], 100), at % 2 if half else None)


def _same(page: Paper, single: Paper, side: int | None) -> None:
    """Compare whole pages, or the left (0) or right (1) half of each."""
    middle = single.pixels.shape[1] // 2
    span = {None: slice(None), 0: slice(0, middle - 3), 1: slice(middle + 3, None)}[side]
    apart = np.abs(page.pixels[:, span].astype(int) - single.pixels[:, span].astype(int))
    assert (apart > 64).mean() < 0.001


def _file(pdf: bytes) -> io.BytesIO:
    return io.BytesIO(pdf)


def _tags(node: Any) -> Iterator[Any]:
    """Every element of a structure tree, in reading order."""
    if isinstance(node, pikepdf.Array):
        for child in node:
            yield from _tags(child)
    elif isinstance(node, pikepdf.Dictionary) and "/S" in node:
        yield node
        if "/K" in node:
            yield from _tags(node.K)


def _lines(pdf: bytes) -> Iterator[Box]:
    """Every run of text that stands on one line."""
    document = pypdfium2.PdfDocument(pdf)
    page = document[0]
    height = page.get_height()
    text = page.get_textpage()
    for at in range(text.count_rects()):
        left, bottom, right, top = text.get_rect(at)
        yield Box(
            left=left / POINTS_PER_MM,
            top=(height - top) / POINTS_PER_MM,
            right=right / POINTS_PER_MM,
            bottom=(height - bottom) / POINTS_PER_MM,
        )
    document.close()


def _long_lines(page: Paper, least: float, most: float) -> list[tuple[float, float, float]]:
    """Level lines of about a length: middle of the line down the page, left end, right."""
    found: dict[int, tuple[float, float, float]] = {}
    rows: dict[tuple[int, int], list[int]] = {}
    # A row with less ink than such a line needs holds none.
    for row in np.flatnonzero(page.ink.sum(axis=1) >= page.px(least)).tolist():
        for left, right in page.runs(row):
            if least < right - left < most:
                rows.setdefault((round(left), round(right)), []).append(row)
    for (left, right), at in rows.items():
        for part in np.split(np.array(at), np.flatnonzero(np.diff(at) > 3) + 1):
            middle = page.mm(float(part.mean()) + 0.5)
            found.setdefault(round(middle * 2), (middle, float(left), float(right)))
    # A sheet of two halves has each line twice, side by side on the same rows.
    return sorted(found.values())


def _long_line(page: Paper, least: float, most: float) -> tuple[float, float, float]:
    return _long_lines(page, least, most)[-1]


def _ticks(
    page: Paper, middle: float, left: float, right: float, *, below: float
) -> list[float]:
    """Middles of the marks along a line, looked at a little below (or above) it."""
    row = page.px(middle + below)
    grey = 255.0 - page.pixels[row].min(axis=1)
    marks = []
    for start, end in page.runs(row):
        if left - 1.5 < start and end < right + 1.5 and end - start < 0.6:
            span = slice(page.px(start) - 2, page.px(end) + 2)
            places = np.arange(span.start, span.stop) + 0.5
            marks.append(page.mm(float((places * grey[span]).sum() / grey[span].sum())))
    return marks


def _extent(
    page: Paper, mask: Any, left: float, right: float, top: float, bottom: float
) -> Box:
    window = mask[page.px(top) : page.px(bottom), page.px(left) : page.px(right)]
    columns = np.flatnonzero(window.any(axis=0))
    rows = np.flatnonzero(window.any(axis=1))
    at_left, at_top = page.px(left), page.px(top)
    return Box(
        left=page.mm(at_left + columns[0]),
        top=page.mm(at_top + rows[0]),
        right=page.mm(at_left + columns[-1] + 1),
        bottom=page.mm(at_top + rows[-1] + 1),
    )


def _code_box(page: Paper, code: Any) -> Box:
    corners = [
        getattr(code.position, name)
        for name in ("top_left", "top_right", "bottom_left", "bottom_right")
    ]
    return Box(
        left=page.mm(min(it.x for it in corners)),
        right=page.mm(max(it.x for it in corners) + 1),
        top=page.mm(min(it.y for it in corners)),
        bottom=page.mm(max(it.y for it in corners) + 1),
    )


def _extent_of_white(page: Paper, box: Box, quiet: float) -> bool:
    """Tell whether nothing but paper is within `quiet` of a code."""
    ink = page.ink.copy()
    edge = 0.2  # where the code's own outer modules are rendered soft
    ink[
        page.px(box.top - edge) : page.px(box.bottom + edge),
        page.px(box.left - edge) : page.px(box.right + edge),
    ] = False
    around = ink[
        page.px(box.top - quiet) : page.px(box.bottom + quiet),
        page.px(box.left - quiet) : page.px(box.right + quiet),
    ]
    return not around.any()


def _grey(colour: str) -> float:
    """Relative luminance (WCAG 2.2)."""
    parts = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (
        it / 12.92 if it <= 0.04045 else ((it + 0.055) / 1.055) ** 2.4 for it in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
