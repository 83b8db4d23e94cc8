"""The key: the whole tree on its page and on one sheet of paper, and nothing lost."""

import gzip
import hashlib
import io
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

import html5lib
import numpy as np
import pikepdf
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from playwright.sync_api import Browser

from bedside.cache import Kept
from bedside.model.library import Library
from bedside.model.outline import tree_of
from bedside.model.records import Plant
from bedside.pages.frame.addresses import (
    GUIDE,
    cause_address,
    file_of,
    key_address,
    question_address,
    relative,
)
from bedside.pages.frame.assets import bundle
from bedside.pages.frame.desk import Site, SitePage, site
from bedside.pages.reference_pages import pages as reference_pages
from bedside.pages.sheets.key_layout import (
    COLUMNS,
    HEIGHT,
    LARGEST,
    SIDES,
    SMALLEST,
    WIDTH,
    Line,
    Measured,
    Plan,
    Tall,
    illustrated,
    on_one_sheet,
    planned,
    poured,
)
from bedside.pages.sheets.key_sheet import (
    KeyPrinted,
    KeySheet,
    key_faults,
    key_jobs,
    print_key_job,
)
from bedside.pages.sheets.key_words import GAP, LEFT, KeyWords, branches_of, key_of
from bedside.pages.sheets.printing import Printed
from bedside.pages.sheets.sheet_pages import key_page, keys_of, pages
from bedside.problems import ERROR, WARNING
from bedside.read.sheet_theme import read_sheet_theme
from bedside.read.theme import read_theme
from tests.elsewhere import said_far_away
from tests.pages.sheets.sheet_paper import Box, rendered, text_of

ROOT = Path(__file__).parents[3]
SHEET_THEME = read_sheet_theme(ROOT)
POINTS_PER_MM = 72 / 25.4
EXACT_MM = 0.05
LEAST_PT = 8.0  # promised
DASH_GAP_MM = 0.6
EDGE_MM = 5.9  # what office printers leave white
MOST_PAGE_BYTES = 40_000
MOST_PDF_BYTES = 250_000
OTHER = "any other answer"
TITLE = "The {plant} key on one sheet"
PLANTS = pytest.mark.parametrize("name", ["toy", "real"])
PAPERS = pytest.mark.parametrize("paper", ["letter", "a4"])


@pytest.fixture
def library(name: str, request: pytest.FixtureRequest) -> Library:
    """The invented plant or the real one, by the name that a test runs with."""
    found: Library = request.getfixturevalue(name)
    return found


def first_plant(library: Library) -> Plant:
    return next(iter(library.knowledge.plants.values()))


def job_on(library: Library, paper: str) -> KeyWords:
    plant = first_plant(library)
    return next(it for it in key_jobs(library, plant, SHEET_THEME) if it.paper.id == paper)


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """A library that can stand in a cache: equal only to itself."""

    library: Library

    def __hash__(self) -> int:
        return id(self.library)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Held) and self.library is other.library


def made(library: Library, paper: str) -> KeyPrinted:
    """Print a key once for all tests."""
    return _made(Held(library), paper)


@lru_cache(maxsize=8)
def _made(held: Held, paper: str) -> KeyPrinted:
    return print_key_job(job_on(held.library, paper))


def bare_site(library: Library) -> Site:
    """A site that can make the key's page."""
    return _bare_site(Held(library))


@lru_cache(maxsize=8)
def _bare_site(held: Held) -> Site:
    theme = read_theme(ROOT)
    return site(held.library, theme, bundle(theme.assets))


def read_aloud(plant: Plant, start: str) -> Iterator[str]:
    """What the tree says from one question on, straight from the record."""
    question = plant.tree.questions[start]
    sign = plant.signs[question.sign]
    says = {answer.id: answer.says for answer in sign.all_answers}
    yield sign.question
    ways = [(says[answer], to) for answer, to in question.ways.items()]
    for said, to in (*ways, (OTHER, question.otherwise)):
        if to:
            yield said
            if to in plant.tree.ends:
                yield from (plant.causes[it].name for it in plant.tree.ends[to].shows)
            else:
                yield from read_aloud(plant, to)


# ---- the page


def the_page(library: Library) -> SitePage:
    """Make a key's page once for all tests."""
    return _the_page(Held(library))


@lru_cache(maxsize=8)
def _the_page(held: Held) -> SitePage:
    return key_page(bare_site(held.library), first_plant(held.library))


def main_part(page: SitePage) -> Element:
    return _main_part(page.html)


@lru_cache(maxsize=8)
def _main_part(html: str) -> Element:
    found = html5lib.parse(html, namespaceHTMLElements=False).find("body/main")
    assert found is not None
    return found


def elements(page: SitePage, wanted: str) -> Iterator[Any]:
    """The main part's elements that begin with `wanted`: a tag, or .class."""
    for it in main_part(page).iter():
        tag = str(it.tag).rpartition("}")[2]
        if tag == wanted or wanted in [f".{name}" for name in it.get("class", "").split()]:
            yield it


def words_of(element: Any) -> str:
    return " ".join("".join(element.itertext()).split())


@PLANTS
@pytest.mark.slow
def test_the_page_says_the_whole_tree_in_order(library: Library) -> None:
    """Every question, way and cause of the tree stands on the page once, in order."""
    plant = first_plant(library)
    page = the_page(library)
    said = []
    for it in main_part(page).iter():
        if it.tag == "h3" or it.get("class") in ("says", "q"):
            said.append(words_of(it))
        elif it.get("class") == "ends":
            said += [words_of(cause) for cause in it.iter("a")]
    first, *rest = read_aloud(plant, plant.tree.first)
    assert words_of(next(elements(page, "h2"))) == first
    assert [it.lower() for it in said] == [it.lower() for it in rest]


@PLANTS
@pytest.mark.slow
def test_the_page_leads_to_every_question_and_cause(library: Library) -> None:
    """A question links to its own page, once; a box to the page of its cause."""
    plant, page = first_plant(library), the_page(library)
    here = key_address(plant)
    asked = [next(elements(page, "h2")).find("a"), *elements(page, ".q")]
    assert sorted(it.get("href") for it in asked) == sorted(
        relative(here, question_address(plant, it)) for it in plant.tree.questions
    )
    boxes = Counter(a.get("href") for it in elements(page, ".ends") for a in it.iter("a"))
    assert boxes == Counter(
        relative(here, cause_address(cause))
        for end in plant.tree.ends.values()
        for cause in end.shows
    )


@PLANTS
def test_the_page_is_light(library: Library) -> None:
    """At most 40 KB come over the wire, drawings and all."""
    html = the_page(library).html
    assert len(gzip.compress(html.encode(), 9)) <= MOST_PAGE_BYTES


@PLANTS
def test_a_dashed_way_is_every_other_answer_and_stands_last(library: Library) -> None:
    """What is dashed says so in words; nothing stands below it in its list."""
    for it in elements(the_page(library), "ul"):
        for at, way in enumerate(it.findall("li")):
            is_dashed = way.get("class") == "dashed"
            assert is_dashed == (OTHER in words_of(way[0]).lower())
            assert not is_dashed or at == len(it.findall("li")) - 1


@PLANTS
def test_main_answers_have_a_picture_in_words(library: Library) -> None:
    """Every drawn answer of the first question shows it, with words for who can't see."""
    plant, page = first_plant(library), the_page(library)
    alts = {it.get("aria-label") for it in elements(page, "svg")}
    sign = plant.signs[plant.tree.questions[plant.tree.first].sign]
    drawn = {it.shows for it in sign.answers if it.drawing}
    assert drawn
    assert drawn <= alts


@PLANTS
def test_the_page_says_how_to_read_it_and_whose_it_is(library: Library) -> None:
    """How to read it, the nursery's name and address, both papers."""
    page, nursery = the_page(library), library.knowledge.nursery
    text = re.sub(r"\s+", " ", page.html)
    assert "Start at the left. Take the way of your answer." in text
    assert f"{nursery.name}, {', '.join(nursery.address)}" in text
    for link in ("US Letter (PDF, ", "A4 (PDF, "):
        assert link in text
    folder = key_address(first_plant(library))
    files = {it for it in keys_of(bare_site(library)).printed if it.startswith(folder)}
    for it in elements(page, "a"):
        if it.get("href").endswith(".pdf"):
            files.remove(folder + it.get("href"))
    assert not files


def test_the_list_of_causes_and_the_guide_lead_to_the_key(toy: Library) -> None:
    """Who looks at all causes, or for something to print, finds the whole tree."""
    made_site = bare_site(toy)
    here = key_address(first_plant(toy))
    causes = next(it for it in reference_pages(made_site) if it.address == "causes/")
    assert f'href="{relative(causes.address, here)}"' in causes.html
    guide = next(it for it in pages(made_site) if it.address == GUIDE)
    assert f'href="{relative(GUIDE, here)}"' in guide.html


@PLANTS
def test_no_page_scrolls_sideways(library: Library, browser: Browser) -> None:
    """Narrow, middle and wide, all words stand inside the window."""
    html = the_page(library).html
    for width in (320, 360, 768, 1440):
        page = browser.new_page(viewport={"width": width, "height": 800})
        page.set_content(html)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        page.close()


def test_branches_stand_side_by_side_only_where_there_is_room(
    real: Library, browser: Browser
) -> None:
    """On a phone one under another; on a wide screen two in a row."""
    html, tops = the_page(real).html, {}
    for width in (360, 1440):
        page = browser.new_page(viewport={"width": width, "height": 800})
        page.set_content(html)
        tops[width] = page.evaluate(
            "[...document.querySelectorAll('.branch')].map(it => it.offsetTop)"
        )
        page.close()
    assert len(set(tops[360])) == len(tops[360])
    assert len(set(tops[1440])) < len(tops[1440])


# ---- the paper


def said_on_paper(plant: Plant) -> list[list[str]]:
    """For each branch what its head and each of its rows say, without white space."""
    branches: list[list[str]] = []
    first = plant.tree.questions[plant.tree.first]
    says = {it.id: it.says for it in plant.signs[first.sign].all_answers}
    ways = [(says[answer], to) for answer, to in first.ways.items()]
    for said, to in (*ways, ("Any other answer", first.otherwise)):
        if to:
            branches.append(list(_rows(plant, said, to)))
    return branches


def _rows(plant: Plant, said: str, to: str) -> Iterator[str]:
    end = plant.tree.ends.get(to)
    if end:
        yield _tight(said + "".join(plant.causes[it].name for it in end.shows))
        return
    question = plant.tree.questions[to]
    sign = plant.signs[question.sign]
    says = {it.id: it.says for it in sign.all_answers}
    yield _tight(said + sign.question)
    for answer, below in question.ways.items():
        yield from _rows(plant, says[answer], below)
    if question.otherwise:
        yield from _rows(plant, OTHER, question.otherwise)


def _tight(text: str) -> str:
    # A reader of the file may give a mark of its own for a line's end or for a hyphen.
    return re.sub(r"[\s\ufffe\u00ad]", "", text)


def paper_text(printed: KeyPrinted) -> str:
    return _tight("".join(text_of(printed.printed.pdf, at) for at in range(printed.sides)))


def assert_whole_tree(plant: Plant, text: str) -> int:
    """Hold every row of every branch to stand once; give how many branches were cut."""
    cut = 0
    for rows in said_on_paper(plant):
        while rows:
            count = next(
                n for n in range(len(rows), 0, -1) if text.count("".join(rows[:n])) == 1
            )
            text = text.replace("".join(rows[:count]), "|", 1)
            del rows[:count]
            cut += bool(rows)
    # What is left of these words stands in the note of a side.
    assert text.count(_tight(OTHER)) <= SIDES
    return cut


@PLANTS
@PAPERS
def test_the_paper_says_the_whole_tree(library: Library, paper: str) -> None:
    """Every question, way and cause stands on the sheet once; at most one branch is cut."""
    printed = made(library, paper)
    assert assert_whole_tree(first_plant(library), paper_text(printed)) <= 1


@PAPERS
def test_the_real_key_is_both_sides_of_one_sheet(real: Library, paper: str) -> None:
    """Two pages, each exactly as large as the paper (ISO 216; US Letter 8.5 by 11 in)."""
    job, printed = job_on(real, paper), made(real, paper)
    with pikepdf.open(io.BytesIO(printed.printed.pdf)) as file:
        assert len(file.pages) == printed.sides == SIDES
        for page in file.pages:
            left, low, right, high = (float(side) / POINTS_PER_MM for side in page.mediabox)
            assert right - left == pytest.approx(job.paper.width, abs=EXACT_MM)
            assert high - low == pytest.approx(job.paper.height, abs=EXACT_MM)
    assert not list(key_faults(job, printed))


def test_a_small_tree_has_one_page_of_large_type(toy: Library) -> None:
    """What is small is printed as large as the sheet allows, and on one side."""
    printed = made(toy, "letter")
    assert (printed.sides, printed.size) == (1, LARGEST)
    assert "otherside" not in paper_text(printed)


@PLANTS
@PAPERS
def test_no_type_is_smaller_than_eight_points(library: Library, paper: str) -> None:
    """Every letter on both sides, as the file says."""
    document = pypdfium2.PdfDocument(made(library, paper).printed.pdf)
    raw = pypdfium2.raw
    for page in document:
        text = page.get_textpage()
        for at in range(text.count_chars()):
            if chr(raw.FPDFText_GetUnicode(text.raw, at)).strip():
                assert raw.FPDFText_GetFontSize(text.raw, at) >= LEAST_PT - 0.01
    document.close()


@PLANTS
@PAPERS
def test_every_font_travels_with_the_sheet(library: Library, paper: str) -> None:
    """No font is looked for on the printer's machine, and all are the open ones."""
    with pikepdf.open(io.BytesIO(made(library, paper).printed.pdf)) as file:
        found = [
            it
            for it in file.objects
            if isinstance(it, pikepdf.Dictionary) and it.get("/Type") == "/FontDescriptor"
        ]
        assert found
        for font in found:
            assert any(key in font for key in ("/FontFile", "/FontFile2", "/FontFile3"))
            assert re.search(r"\+(AtkinsonHyperlegible|Literata)", str(font.FontName))


@PLANTS
@PAPERS
def test_the_sheet_can_be_listened_to(library: Library, paper: str) -> None:
    """Tagged, named, pictures in words; a heading a branch, an item of a list a way."""
    plant = first_plant(library)
    with pikepdf.open(io.BytesIO(made(library, paper).printed.pdf)) as file:
        assert file.Root.MarkInfo.Marked
        assert str(file.Root.Lang) == "en"
        with file.open_metadata() as said:
            assert said["dc:title"] == f"{TITLE}, {library.knowledge.nursery.name}".format(
                plant=plant.name.lower()
            )
            assert said["pdfuaid:part"] == "1"
        tags = list(_tags(file.Root.StructTreeRoot.K))
        kinds = Counter(str(tag.get("/S")) for tag in tags)
        branches = said_on_paper(plant)
        assert (kinds["/H1"], kinds["/H2"]) == (1, len(branches))
        assert kinds["/LI"] == sum(len(rows) - 1 for rows in branches)
        figures = [tag for tag in tags if tag.get("/S") == "/Figure"]
        assert all(str(tag.get("/Alt", "")).strip() for tag in figures)
        sign = plant.signs[plant.tree.questions[plant.tree.first].sign]
        drawn = {it.shows for it in sign.answers if it.drawing}
        assert drawn <= {str(tag.Alt) for tag in figures}


def _tags(node: Any) -> Iterator[Any]:
    if isinstance(node, pikepdf.Array):
        for child in node:
            yield from _tags(child)
    elif isinstance(node, pikepdf.Dictionary) and "/S" in node:
        yield node
        if "/K" in node:
            yield from _tags(node.K)


@PLANTS
@PAPERS
def test_no_word_covers_another_or_stands_at_an_edge(library: Library, paper: str) -> None:
    """Every run of words has a place of its own, inside what a printer can print."""
    job = job_on(library, paper)
    for runs in _runs(made(library, paper).printed.pdf):
        for it in runs:
            assert min(it.left, it.top) >= EDGE_MM
            assert it.right <= job.paper.width - EDGE_MM
            assert it.bottom <= job.paper.height - EDGE_MM
        for at, one in enumerate(runs):
            for other in runs[at + 1 :]:
                across = min(one.right, other.right) - max(one.left, other.left)
                down = min(one.bottom, other.bottom) - max(one.top, other.top)
                assert across < 0.3 or down < 0.5 * min(one.height, other.height)


def _runs(pdf: bytes) -> Iterator[list[Box]]:
    document = pypdfium2.PdfDocument(pdf)
    for page in document:
        text, height = page.get_textpage(), page.get_height()
        found = []
        for at in range(text.count_rects()):
            left, low, right, high = text.get_rect(at)
            box = Box(
                left=left / POINTS_PER_MM, top=(height - high) / POINTS_PER_MM,
                right=right / POINTS_PER_MM, bottom=(height - low) / POINTS_PER_MM,
            )  # fmt: skip
            found.append(box)
        yield found
    document.close()


@PAPERS
def test_both_sides_are_well_filled(real: Library, paper: str) -> None:
    """The fullest column of each side reaches its foot: no side is left half empty."""
    job = job_on(real, paper)
    for runs in _runs(made(real, paper).printed.pdf):
        middle = job.paper.width / 2
        feet = [
            max(it.bottom for it in runs if (it.left < middle) == is_left)
            for is_left in (True, False)
        ]
        assert max(feet) > 0.93 * job.paper.height
        assert min(feet) > 0.60 * job.paper.height


@PLANTS
def test_nothing_is_told_by_colour_alone(library: Library) -> None:
    """In grey every line and letter is dark, and a dashed way is still in pieces."""
    for at in range(made(library, "letter").sides):
        page = rendered(made(library, "letter").printed.pdf, 150, at)
        colours = page.pixels.astype(int)
        grey = (colours * (0.299, 0.587, 0.114)).sum(axis=2)
        strong = colours.max(axis=2) - colours.min(axis=2) > 100
        assert (grey[strong] < 150).all()
    first = key_of(first_plant(library))
    dashed = sum(way.dashed for way in first.all_ways())
    strokes = Counter(_strokes(made(library, "letter").printed.pdf))
    assert dashed
    assert strokes[True] >= dashed
    assert strokes[False] >= sum(1 for _ in first.all_ways()) - dashed


def _strokes(pdf: bytes) -> Iterator[bool]:
    """Whether each stroke of the file is dashed the way that lines of the tree are."""
    with pikepdf.open(io.BytesIO(pdf)) as file:
        for page in file.pages:
            dash: list[float] = []
            for it in pikepdf.parse_content_stream(page):
                if str(it.operator) == "d":
                    dash = [float(part) / POINTS_PER_MM for part in it.operands[0]]
                elif str(it.operator) == "S":
                    yield bool(dash) and min(dash) > 0.5


@PAPERS
@pytest.mark.slow
def test_no_line_of_the_tree_has_a_gap(real: Library, paper: str) -> None:
    """Beside the rows of a branch its line is whole, or dashed with small even gaps."""
    job = job_on(real, paper)
    sheet = KeySheet(job)
    told = sheet.document(planned(sheet.measured))
    for at, side in enumerate(told["sides"]):
        page = rendered(made(real, paper).printed.pdf, 600, at)
        for number, column in enumerate(side["columns"]):
            left = LEFT + number * (told["column"] + GAP)
            across = slice(page.px(left + 0.1), page.px(left + 0.5))
            ink = np.any(page.ink[:, across], axis=1).tolist()
            for top, bottom in _beside_rows(column, side["down"]):
                runs = _runs_of(ink[page.px(top) : page.px(bottom)])
                gaps = [page.mm(b[0] - a[1]) for a, b in pairwise(runs)]
                assert max(gaps, default=0.0) <= DASH_GAP_MM + 0.08
                assert page.mm(runs[-1][1] - runs[0][0]) > bottom - top - 3.0


def _beside_rows(pieces: Any, top: float) -> Iterator[tuple[float, float]]:
    for piece in pieces:
        top += (piece["head"] or piece["again"])["height"]
        rows = piece["rows"]
        # The line ends beside the last row that is not a step in from it.
        last = max(at for at, row in enumerate(rows) if not row["depth"] or piece["tail"])
        yield top, top + sum(row["height"] for row in rows[:last])
        top += sum(row["height"] for row in rows) + piece["tail_height"]


def _runs_of(line: Any) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([False], line, [False])).astype(int)))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


@PAPERS
def test_the_sheet_is_small(real: Library, paper: str) -> None:
    """It opens on one bar of signal."""
    assert len(made(real, paper).printed.pdf) <= MOST_PDF_BYTES


def test_the_same_bytes_twice(toy: Library) -> None:
    """Another process in another time zone makes the same file."""
    code = (
        "from tests.conftest import TOY, read_clean;"
        "from tests.pages.sheets.test_key import digest_of;"
        "print(digest_of(read_clean(TOY)))"
    )
    assert said_far_away(code) == digest_of(toy)


def digest_of(library: Library) -> str:
    """Print both papers afresh; give one digest."""
    jobs = key_jobs(library, first_plant(library), SHEET_THEME)
    printed = [print_key_job(job).printed.pdf for job in jobs]
    assert all(printed)
    return hashlib.sha256(b"".join(printed)).hexdigest()


# ---- what goes wrong


def grown(library: Library) -> Library:
    """The same plant with its whole tree once more below two of its first answers."""
    plant = first_plant(library)
    data = library.documents[plant.tree.file].data
    ((sign, ways),) = data.items()
    return with_tree(library, {sign: {**ways, **dict.fromkeys(tuple(ways)[:2], data)}})


def with_tree(library: Library, outline: Any) -> Library:
    """The same plant with another tree."""
    plant = first_plant(library)
    other = replace(plant, tree=tree_of(plant.tree.file, outline))
    knowledge = replace(library.knowledge, plants={plant.id: other})
    return replace(library, knowledge=knowledge)


@pytest.mark.slow
def test_a_tree_too_large_for_a_sheet_is_told_and_printed_all_the_same(
    real: Library,
) -> None:
    """A warning names the sides it takes; no row is lost, and no third page is hidden."""
    library = grown(real)
    job = job_on(library, "letter")
    printed = print_key_job(job)
    (problem,) = key_faults(job, printed)
    assert (problem.code, problem.level) == ("key-long", WARNING)
    assert problem.file == job.desk.plant.tree.file
    assert f"takes {printed.sides} sides" in problem.message
    assert printed.size == LEAST_PT
    with pikepdf.open(io.BytesIO(printed.printed.pdf)) as file:
        assert len(file.pages) == printed.sides > SIDES
    assert "ononesheet" not in paper_text(printed)
    rows = sum(len(it.rows) for it in branches_of(key_of(job.desk.plant)))
    with pikepdf.open(io.BytesIO(printed.printed.pdf)) as file:
        kinds = Counter(str(it.get("/S")) for it in _tags(file.Root.StructTreeRoot.K))
    assert kinds["/LI"] == rows
    for runs in _runs(printed.printed.pdf):
        assert max(it.bottom for it in runs) <= job.paper.height - EDGE_MM


def test_a_first_answer_may_lead_to_several_causes_at_once(toy: Library) -> None:
    """As the other ends do, so that nobody has to make up a question below it."""
    plant = first_plant(toy)
    some = [it.id for it in plant.causes.values()][:4]
    library = with_tree(toy, {plant.tree.first: {"holes": some, "otherwise": some[:1]}})
    printed = print_key_job(job_on(library, "letter"))
    assert_whole_tree(first_plant(library), paper_text(printed))


def test_a_letter_that_our_fonts_lack_is_refused(toy: Library) -> None:
    """No empty box on paper: the key is refused at the tree and the page has no link."""
    plant = first_plant(toy)
    cause = next(iter(plant.causes))
    causes = {**plant.causes, cause: replace(plant.causes[cause], name="Odd ☂ thing")}
    knowledge = replace(toy.knowledge, plants={plant.id: replace(plant, causes=causes)})
    library = replace(toy, knowledge=knowledge)
    if not any(cause in end.shows for end in plant.tree.ends.values()):
        pytest.fail("the first cause of the toy must stand at an end of its tree")
    found = keys_of(bare_site(library))
    assert not found.printed
    assert {(it.code, it.level) for it in found.problems} == {("key-refused", ERROR)}
    assert ".pdf" not in the_page(library).html


def test_kept_keys_are_the_same_and_tell_the_same(toy: Library) -> None:
    """A second build prints nothing and gives the same files and the same warnings."""
    kept = Kept()
    first = keys_of(replace(bare_site(renamed(toy, "Upper Pots")), kept=kept))
    held = {key: it for (kind, key), it in kept._here.items() if kind == "keys"}
    assert len(held) == len(first.printed)
    long = {key: b"3" + content[1:] for key, content in held.items()}
    for contents, codes in ((held, set()), (long, {"key-long"})):
        kept._here = {("keys", key): content for key, content in contents.items()}
        again = keys_of(replace(bare_site(renamed(toy, "Upper Pots")), kept=kept))
        assert [it.printed for it in again.printed.values()] == [
            it.printed for it in first.printed.values()
        ]
        assert {it.code for it in again.problems} == codes


def renamed(library: Library, name: str) -> Library:
    """The same knowledge under another nursery's name."""
    nursery = replace(library.knowledge.nursery, name=name)
    return replace(library, knowledge=replace(library.knowledge, nursery=nursery))


# ---- where each row stands


def tall(rows: int, *, height: float = 4.0, is_else: bool = False) -> Tall:
    """A branch of equal rows; of each four the second is its question's first way."""
    return Tall(
        head=14.0, rows=(height,) * rows, more=(8.0,) * rows, tail=4.0,
        depths=tuple(at % 4 // 2 for at in range(rows)),
        firsts=tuple(at % 4 == 1 for at in range(rows)), is_else=is_else,
    )  # fmt: skip


def measured(*branches: Tall, rooms: tuple[float, float] = (230.0, 250.0)) -> Measured:
    return Measured(size=SMALLEST, branches=branches, rooms=rooms)


def assert_every_row_once(found: Measured, plan: Plan) -> None:
    """Hold each branch to be there from first row to last, and each column to its room."""
    for at, branch in enumerate(found.branches):
        pieces = [it for column in plan.columns for it in column if it.branch == at]
        assert pieces[0].start == 0
        assert pieces[-1].stop == len(branch.rows)
        for one, other in pairwise(pieces):
            assert one.stop == other.start
            assert not branch.firsts[other.start]
    for number, column in enumerate(plan.columns):
        used = sum(found.branches[it.branch].height(it.start, it.stop) for it in column)
        assert used <= found.room(number) + 1e-9


def test_branches_stay_whole_where_they_can() -> None:
    """Six that fit in four columns are not cut, and stand in their order."""
    found = measured(*(tall(20) for _ in range(6)))
    plan = on_one_sheet(found, 1)
    assert plan
    assert_every_row_once(found, plan)
    assert sum(map(len, plan.columns)) == 6
    assert [it.branch for column in plan.columns for it in column] == list(range(6))


def test_a_cut_branch_goes_on_at_the_top_of_the_column_beside_it() -> None:
    """Never over the leaf, and above a row that is not deep."""
    found = measured(tall(40), tall(40), tall(26), tall(50), tall(40))
    assert not on_one_sheet(found, 0)
    plan = on_one_sheet(found, 1)
    assert plan
    assert_every_row_once(found, plan)
    ((number, piece),) = [
        (number, column[0]) for number, column in enumerate(plan.columns) if column[0].start
    ]
    assert number % COLUMNS == 1
    assert plan.columns[number - 1][-1].branch == piece.branch
    assert found.branches[piece.branch].depths[piece.start] == 0


def test_every_other_answer_stands_last() -> None:
    """Nobody takes the way of every other answer before all answers were read."""
    sizes = (10, 15, 15, 35, 20)
    for is_else in (False, True):
        found = measured(*map(tall, sizes[:-1]), tall(sizes[-1], is_else=is_else))
        plan = on_one_sheet(found, SIDES)
        assert plan
        # Of answers alone another order has evener columns.
        assert (plan.columns[-1][-1].branch == len(sizes) - 1) == is_else


def test_type_is_as_large_as_two_sides_allow() -> None:
    """A size larger by one step would not fit."""

    def at(size: float) -> Measured:
        return replace(
            measured(*(tall(24, height=size * 0.5) for _ in range(6))), size=size
        )

    size = planned(at).size
    assert SMALLEST < size < LARGEST
    assert on_one_sheet(at(size), 1)
    assert not on_one_sheet(at(size + 0.25), 1)


@settings(max_examples=60)
@given(
    st.lists(st.integers(1, 130), min_size=1, max_size=7),
    st.floats(2.5, 7.0),
    st.booleans(),
)
def test_no_row_is_lost_whatever_the_tree(
    sizes: list[int], height: float, has_else: bool
) -> None:
    """Any tree has every row once, no column is overfull, no question ends one."""
    last = len(sizes) - 1
    branches = [
        tall(it, height=height, is_else=has_else and at == last)
        for at, it in enumerate(sizes)
    ]
    found = measured(*branches)
    assert_every_row_once(found, poured(found))
    plan = on_one_sheet(found, 1)
    if plan:
        assert_every_row_once(found, plan)
        assert plan.sides <= SIDES


def test_a_picture_covers_no_word_and_no_other_picture() -> None:
    """It stands only where all lines it passes are short; the big answer chooses first."""
    long, short = 95.0, 40.0

    def lines(*reaches: float, big: int = -1) -> list[Line]:
        return [
            Line(
                top=at * 4.0, bottom=at * 4.0 + 3, reach=reach, middle=at * 4.0 + 1.5,
                is_big=at == big,
            )
            for at, reach in enumerate(reaches)
        ]  # fmt: skip

    assert illustrated(lines(short, short, short, short), 96.0, 100.0) == {1}
    assert illustrated(lines(short, short, short, short, big=2), 96.0, 100.0) == {2}
    assert not illustrated(lines(short, short, long, short), 96.0, 10.0)
    assert not illustrated(lines(short, long, short), 96.0, 100.0)
    many = illustrated(lines(*[short] * 12), 96.0, 100.0)
    tops = sorted(at * 4.0 + 1.5 - HEIGHT / 2 for at in many)
    assert len(tops) > 2
    assert all(b - a >= HEIGHT for a, b in pairwise(tops))
    assert WIDTH + short < 96


def test_the_key_has_an_address_of_its_own(toy: Library) -> None:
    """The page is a file of the site, and no question of the tree stands in its place."""
    plant = first_plant(toy)
    assert file_of(key_address(plant)) == f"{plant.id}/key/index.html"
    assert key_address(plant) not in {
        question_address(plant, it) for it in plant.tree.questions
    }
    assert Printed().pdf == b""
