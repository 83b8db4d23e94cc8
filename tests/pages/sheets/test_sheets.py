"""The sheets before they are printed: what each says, who gets which, what is refused."""

import csv
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest

from bedside.cli import main
from bedside.commands.terminal import CLEAN, PROBLEMS, USAGE
from bedside.model.handout import Handout
from bedside.model.library import Library
from bedside.model.records import SPRAY_TIERS, Plant
from bedside.model.season import SeasonKnowledge
from bedside.pages.sheets.print_stack import (
    Atlas,
    Order,
    atlas_of,
    guides_on,
    print_stack,
    read_order_rows,
    summary,
)
from bedside.pages.sheets.printing import PAPERS, Desk, Printed
from bedside.pages.sheets.sheet_jobs import (
    LONGEST_ADDRESS,
    Job,
    faults_of,
    guide_jobs,
    jobs,
    print_job,
)
from bedside.pages.sheets.sheet_words import UNSURE, strip_of
from bedside.read.assemble import handout_of
from bedside.read.season import read_season
from bedside.read.sheet_theme import read_sheet_theme
from bedside.reason.daily_normals import warmed
from tests.pages.sheets.sheet_paper import rendered
from tests.shipped import PLANT

ROOT = Path(__file__).parents[3]
SHEET_THEME = read_sheet_theme(ROOT)
KNOWLEDGE = ROOT / "knowledge"
# The promise: words of a whole sheet and of a half one.
MOST_WORDS = {False: 230, True: 120}


@pytest.fixture(scope="module")
def season(real: Library) -> SeasonKnowledge:
    found, problems = read_season(KNOWLEDGE, real)
    assert found, problems
    return warmed(found)


def first_desk(library: Library) -> Desk:
    """What the sheets of the first plant are made from."""
    plant = next(iter(library.knowledge.plants.values()))
    return Desk(library=library, plant=plant, theme=SHEET_THEME)


@pytest.fixture(scope="module")
def guides(real: Library, season: SeasonKnowledge) -> tuple[Job, ...]:
    return tuple(guide_jobs(first_desk(real), season))


@pytest.fixture(scope="module")
def handout(real: Library) -> Handout:
    found = handout_of(real, next(iter(real.knowledge.plants)))
    assert found
    return found


def test_every_region_has_every_paper(guides: tuple[Job, ...]) -> None:
    """Four regions and the general sheet, each on four papers, each at its own address."""
    made = {(job.about, job.paper.id) for job in guides}
    regions = {job.about for job in guides}
    assert len(regions) == 5
    assert UNSURE in regions
    assert made == {(region, paper) for region in regions for paper in PAPERS}
    assert len({job.address for job in guides}) == len(guides)


def test_every_cause_has_a_sheet_on_whole_paper(
    real: Library, season: SeasonKnowledge
) -> None:
    """No cause is left out, and none is cut to half a page."""
    made = {
        (it.about, it.paper.id) for it in jobs(real, season, SHEET_THEME) if it.is_cause
    }
    causes = {it for plant in real.knowledge.plants.values() for it in plant.causes}
    assert made == {(cause, paper) for cause in causes for paper in ("letter", "a4")}


def test_a_guide_shows_six_troubles_with_a_first_step(guides: tuple[Job, ...]) -> None:
    """Each of the six has a drawing with words for who can't see it, and what to do."""
    for job in guides:
        items = job.sheet["troubles"]["items"]
        assert len(items) == 6
        assert all(it["see"] and it["do"] and it["picture"]["alt"] for it in items)


def test_what_is_common_somewhere_stands_first_there(
    real: Library, handout: Handout
) -> None:
    """No region puts a trouble that is not recorded there before one that is common."""
    causes = next(iter(real.knowledge.plants.values())).causes
    for region, names in handout.regions.items():
        levels = []
        for name in names:
            table = causes[handout.troubles[name].cause].where_when.get(region, {})
            levels.append("common" in table.values() or "present" in table.values())
        assert levels == sorted(levels, reverse=True), region


def test_a_cause_sheet_keeps_sprays_behind_the_check(
    real: Library, season: SeasonKnowledge
) -> None:
    """A sheet can't ask what was seen, so no spray of a plan is printed on one."""
    for plant in real.knowledge.plants.values():
        for job in jobs(real, season, SHEET_THEME):
            if job.is_cause and job.about in plant.causes:
                cause = plant.causes[job.about]
                said = " ".join(
                    line for block in job.sheet["blocks"] for line in block["lines"]
                )
                for step in cause.plan:
                    if real.knowledge.controls[step.control].tier in SPRAY_TIERS:
                        assert step.do not in said
                    else:
                        assert f"{step.do} {step.when}".strip() in said


def test_the_address_in_words_is_short(guides: tuple[Job, ...]) -> None:
    """At most 32 letters: someone types it off a damp sheet."""
    for job in guides:
        assert len(job.sheet["code"]["address"]) <= LONGEST_ADDRESS


def test_a_long_address_is_refused(real: Library, guides: tuple[Job, ...]) -> None:
    """A nursery with a long site name hears of it, at the record of the sheet."""
    code = {**guides[0].sheet["code"], "address": "a" * (LONGEST_ADDRESS + 1)}
    job = replace(guides[0], sheet={**guides[0].sheet, "code": code})
    found = list(faults_of(job, Printed(pdf=b"x")))
    assert [it.code for it in found] == ["sheet-address"]


def spoiled(job: Job, key: str, value: Any) -> Job:
    """Give a sheet with one part changed in its first trouble."""
    items = job.sheet["troubles"]["items"]
    changed = [{**items[0], key: value}, *items[1:]]
    return replace(
        job,
        sheet={**job.sheet, "troubles": {**job.sheet["troubles"], "items": changed}},
    )


@pytest.mark.parametrize("paper", PAPERS)
def test_text_that_does_not_fit_names_its_record(
    real: Library, guides: tuple[Job, ...], paper: str
) -> None:
    """The problem stands at the trouble in the grower's file and says by how many mm."""
    job = next(it for it in guides if it.paper.id == paper)
    long = spoiled(job, "do", "Look at it, then look again. " * 12)
    printed = print_job(long)
    assert not printed.pdf
    (problem,) = faults_of(long, printed)
    assert problem.code == "sheet-overflow"
    file, path = long.sheet["troubles"]["items"][0]["at"]
    assert (problem.file, problem.line) == (file, real.place(file, *path).line)
    by = float(problem.message.split("this is ")[1].split(" mm")[0])
    assert by == printed.too_tall[0].by_mm > 1


MAIL = "kundenservice@gartenbau-muellermeier.example"


@pytest.mark.parametrize("paper", PAPERS)
def test_a_long_mail_goes_on_in_the_next_line(toy: Library, paper: str) -> None:
    """Nothing of it leaves the sheet, and who copies it gets all of it."""
    job = next(it for it in guide_jobs(first_desk(toy), None) if it.paper.id == paper)
    long = replace(job, sheet={**job.sheet, "email": MAIL})
    printed = print_job(long)
    assert printed.pdf, printed
    said = text_of(printed.pdf)[0].replace("\ufffe", "-\r\n")  # a hyphen that ends a line
    assert MAIL in said.replace("\r\n", "")
    columns = np.flatnonzero(rendered(printed.pdf, 75).darker(250).any(axis=0))
    plain = np.flatnonzero(rendered(print_job(job).pdf, 75).darker(250).any(axis=0))
    assert columns[-1] <= plain[-1] + 1


def test_a_mail_that_does_not_fit_is_told_where_it_is_written(toy: Library) -> None:
    """The problem stands at the mail, and says what would help."""
    job = next(guide_jobs(first_desk(toy), None))
    long = replace(job, sheet={**job.sheet, "email": "a" * 150})
    (problem,) = faults_of(long, print_job(long))
    place = toy.place("nursery.yaml", "email")
    assert (problem.file, problem.line) == (place.file, place.line)
    assert "shorter" in problem.hint


def test_every_part_that_does_not_fit_is_told_at_once(
    real: Library, guides: tuple[Job, ...]
) -> None:
    """Two long texts give two problems, not one after the other."""
    job = spoiled(guides[0], "do", "Look. " * 60)
    cautions = {**job.sheet["cautions"], "lines": ["Take care. " * 60]}
    job = replace(job, sheet={**job.sheet, "cautions": cautions})
    assert len(print_job(job).too_tall) == 2


def test_a_letter_that_our_fonts_lack_is_refused(
    real: Library, guides: tuple[Job, ...]
) -> None:
    """No empty box on paper: the sheet is refused and the letter named."""
    job = spoiled(guides[0], "do", "Open it ☂")
    printed = print_job(job)
    assert not printed.pdf
    (problem,) = faults_of(job, printed)
    assert problem.code == "sheet-refused"
    assert "☂" in problem.message or "character" in problem.message


def test_markup_in_a_record_stays_text(real: Library, guides: tuple[Job, ...]) -> None:
    """What looks like the template's own language is printed as it stands."""
    job = spoiled(guides[0], "do", '#panic("x") $x$ *no* @y <z> \\ "')
    assert print_job(job).pdf


def test_the_strip_is_the_middle_of_the_towns(
    real: Library, season: SeasonKnowledge, handout: Handout
) -> None:
    """Half the towns with frost dates have theirs no later than the strip's, half no
    earlier.
    """
    for region in handout.regions:
        states = real.knowledge.zones[region].states
        strip = strip_of(handout, season, states)
        assert strip
        lasts = [
            place.frost.last
            for place in season.places.values()
            if place.state in states and place.frost.kind == "dates"
        ]
        assert strip.towns == len(lasts)
        assert sum(day <= strip.last_frost for day in lasts) * 2 >= len(lasts)
        assert sum(day >= strip.last_frost for day in lasts) * 2 >= len(lasts)


def test_no_climate_no_strip(toy: Library) -> None:
    """A nursery without climate tables gets a sheet with no dates on it."""
    found = list(guide_jobs(first_desk(toy), None))
    assert {job.about for job in found} == {"wet-coast", UNSURE}
    assert all(job.sheet["year"] is None for job in found)
    assert all(print_job(job).pdf for job in found)


def test_every_zip_area_leads_to_the_sheet_of_its_state(
    real: Library, season: SeasonKnowledge, handout: Handout
) -> None:
    """All areas of the ZIP table, the general sheet for states that no region names."""
    atlas = atlas_of(handout, season, real.knowledge.zones)
    for digits, area in season.zips.items():
        region = atlas.place(Order(line=1, number="1", zip=f"{digits}01")).region
        if region == UNSURE:
            zones = real.knowledge.zones.values()
            assert not any(
                area.state in zone.states for zone in zones if zone.id in handout.regions
            )
        else:
            assert area.state in real.knowledge.zones[region].states


# State of a ZIP: US Postal Service, Publication 65 (three-digit prefixes).
@pytest.mark.parametrize(
    ("written", "region", "noted"),
    [
        ("28202", "gulf-southeast", False),  # Charlotte NC
        ("60601-1234", "mid-midwest-northeast", False),  # Chicago IL
        ("981011234", "northwest-cool-coast", False),  # Seattle WA
        ("90012", "southwest-california", False),  # Los Angeles CA
        ("2134", "mid-midwest-northeast", True),  # Boston MA, its zero lost
        ("00000", UNSURE, True),
        ("SW1A 1AA", UNSURE, True),
        ("", UNSURE, True),
        ("28202; rm", UNSURE, True),
    ],
)
def test_a_zip_as_people_write_it(
    real: Library, season: SeasonKnowledge, handout: Handout,
    written: str, region: str, noted: bool,
) -> None:  # fmt: skip
    """Nine digits, a hyphen, a lost zero; what is no ZIP gets the general sheet and a
    line.
    """
    atlas = atlas_of(handout, season, real.knowledge.zones)
    placed = atlas.place(Order(line=2, number="1", zip=written))
    assert placed.region == region
    assert bool(placed.note) == noted


def test_orders_keep_their_order_and_their_lines() -> None:
    """A file from a shop: mark at the start, other columns, quotes, a blank line."""
    text = (
        '\ufeffOrder Number,Name,ZIP Code\r\n7,"Doe, J",28202\r\n\r\n5,X,2134\r\n6,Y,\r\n'
    )
    orders, problems = read_order_rows("today.csv", text.encode())
    assert not problems
    assert [(it.line, it.number, it.zip) for it in orders] == [
        (2, "7", "28202"), (4, "5", "2134"), (5, "6", ""),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"order,name\n1,x\n", "no-zip"),
        (b"", "no-zip"),
        (b"zip\n", "no-orders"),
        (b"zip,order\n28202\n", ""),
        (b'zip\n"28202\n', "not-csv"),
        ("zip\n28202 é\n".encode("latin-1"), "not-utf-8"),
        (b"zip\n" + b"28202\n" * 5001, "many-orders"),
    ],
)
def test_a_bad_file_of_orders_is_told_and_not_printed(content: bytes, code: str) -> None:
    """Each fault has its own words; nothing is guessed."""
    _, problems = read_order_rows("today.csv", content)
    assert problems
    assert not code or problems[0].code == code


def two_plants(toy: Library) -> list[Plant]:
    """The toy's plant, and one that differs by its names."""
    first = next(iter(toy.knowledge.plants.values()))
    also = ("bell cup",)
    second = replace(
        first, id="pellcup", name="Pellcup", plural="pellcups", also_called=also
    )
    return [first, second]


def test_orders_name_their_plant(toy: Library) -> None:
    """By id, name or what it is also called, in any case; none means the usual one."""
    text = "zip,plant\n1,Pellcups\n2, mossbell\n3,Bell Cup\n4,\n"
    plants = two_plants(toy)
    orders, problems = read_order_rows("today.csv", text.encode(), plants, "pellcup")
    assert not problems
    assert [it.plant for it in orders] == ["pellcup", "mossbell", "pellcup", "pellcup"]


def test_one_plant_needs_no_column(toy: Library) -> None:
    """A nursery with one plant writes ZIP codes and nothing else."""
    plants = two_plants(toy)[:1]
    orders, problems = read_order_rows("today.csv", b"zip\n1\n", plants, "mossbell")
    assert not problems
    assert [it.plant for it in orders] == ["mossbell"]


@pytest.mark.parametrize(
    ("text", "line", "code", "hint"),
    [
        ("zip,plant\n1,mossbell\n2,pelcup\n", 3, "unknown-plant", "mean 'pellcup'"),
        ("zip,plant\n1,oak\n", 2, "unknown-plant", "one of mossbell, pellcup"),
        ("zip,plant\n1,mossbell\n2,\n", 3, "no-plant", "--plant"),
        ("zip\n1\n", 2, "no-plant", "a column 'plant'"),
    ],
)
def test_an_order_whose_plant_is_not_known_is_told(
    toy: Library, text: str, line: int, code: str, hint: str
) -> None:
    """The line and what to write; a sheet of another plant is never packed instead."""
    orders, problems = read_order_rows("today.csv", text.encode(), two_plants(toy))
    assert not orders
    assert [(it.line, it.code) for it in problems] == [(line, code)]
    assert hint in problems[0].hint


def text_of(pdf: bytes) -> list[str]:
    """What each page says."""
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf)]


def test_a_stack_of_two_plants_has_the_sheet_of_each(toy: Library) -> None:
    """Each order gets its own plant's guide, and the packer reads which and how many."""
    desks = [Desk(library=toy, plant=it, theme=SHEET_THEME) for it in two_plants(toy)]
    first, second = (
        next(it for it in guides_on(toy_desk, None, "letter") if it.about == UNSURE)
        for toy_desk in (desks[0], replace(desks[1], plant=desks[0].plant))
    )
    sheet = first.sheet | {"today": first.sheet["today"] | {"head": "Elsewhere"}}
    second = replace(second, desk=desks[1], sheet=sheet, title="Pellcups")
    guides = [first, second]
    pdfs = {job.region_of: print_job(job).pdf for job in guides}
    placed = [
        Atlas(states={}, regions={}).place(Order(line=n, number="", zip="1", plant=plant))
        for n, plant in enumerate(("pellcup", "mossbell", "pellcup"), 2)
    ]
    stack = print_stack(pdfs, guides, placed)
    made, alone = (text_of(stack.pdf), {it: text_of(pdf) for it, pdf in pdfs.items()})
    assert len(set(map(tuple, alone.values()))) == 2
    assert made == [alone[it.sheet][0] for it in placed]
    said = list(summary(guides, placed))
    assert [line.split()[:2] for line in said[1:3]] == [
        ["1", "Mossbell:"], ["2", "Pellcup:"],
    ]  # fmt: skip


def test_the_summary_counts_every_sheet(real: Library, season: SeasonKnowledge) -> None:
    """So many of each region, and a line for each ZIP that is not known."""
    guides = guides_on(first_desk(real), season, "letter")
    plant = guides[0].desk.plant.id
    atlas = Atlas(states={"282": "NC"}, regions={"NC": "gulf-southeast"})
    zips = ("28202", "99999", "28203")
    placed = [
        atlas.place(Order(line=n + 2, number=f"A{n}", zip=it, plant=plant))
        for n, it in enumerate(zips)
    ]
    said = list(summary(guides, placed))
    assert said[0] == "3 sheets in packing order, on US Letter:"
    assert [line.split()[0] for line in said[1:3]] == ["2", "1"]
    assert said[3] == "line 3, order A1: ZIP '99999' is not known; the general sheet"


def run(*words: str | Path, root: Path = ROOT) -> int:
    return main(["--root", str(root), "handout", *map(str, words)])


def test_the_command_prints_one_sheet(tmp_path: Path) -> None:
    """One region on one paper, as a file that says what it is."""
    code = run("--region", "unsure", "--paper", "a4", "--out", tmp_path / "out")
    assert code == CLEAN
    printed = list((tmp_path / "out").iterdir())
    assert len(printed) == len(list(KNOWLEDGE.glob("*/handout.yaml")))  # each plant's
    for made in printed:
        assert made.name.endswith("-unsure-a4.pdf")
        assert made.read_bytes().startswith(b"%PDF-")


def test_the_command_prints_a_stack(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A day's orders become one file, and the summary is for the packer."""
    orders = tmp_path / "today.csv"
    with orders.open("w", newline="") as file:
        csv.writer(file).writerows([("order", "zip"), ("1", "28202"), ("2", "xx")])
    words = ("--orders", orders, "--plant", PLANT, "--out", tmp_path / "stack.pdf")
    assert run(*words) == CLEAN
    assert (tmp_path / "stack.pdf").read_bytes().startswith(b"%PDF-")
    assert "line 3, order 2: ZIP 'xx' is not known" in capsys.readouterr().out


@pytest.mark.parametrize(
    "words",
    [
        ("--region", "nowhere"),
        ("--cause", "nothing"),
        ("--paper", "a5"),
        ("--cause", "unlisted", "--paper", "a4-half"),
        ("--cause", "unlisted", "--region", "unsure"),
        ("--orders", "absent.csv"),
        ("--orders", "absent.csv", "--region", "unsure"),
    ],
)
def test_wrong_words_are_told(
    words: tuple[str, ...], tmp_path: Path, toy_project: Path
) -> None:
    """Exit code 2, and nothing is written."""
    assert run(*words, "--out", tmp_path / "out", root=toy_project) == USAGE
    assert not list(tmp_path.iterdir())


def test_bad_orders_leave_the_last_stack(tmp_path: Path, toy_project: Path) -> None:
    """A fault in the file leaves yesterday's stack as it was."""
    orders, stack = tmp_path / "today.csv", tmp_path / "stack.pdf"
    orders.write_text("name\nx\n")
    stack.write_bytes(b"yesterday")
    assert run("--orders", orders, "--out", stack, root=toy_project) == PROBLEMS
    assert stack.read_bytes() == b"yesterday"
