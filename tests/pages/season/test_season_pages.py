"""The season's pages as files: complete without a script, small, and with calendars that
parse.
"""

import json
import re
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import html5lib
import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedside.language.days import day_number, on_calendar, span_in_words, within_year
from bedside.model.season import DAYS, Frost
from bedside.pages.frame.addresses import calendar_address, place_address
from bedside.pages.frame.assets import Asset
from bedside.pages.frame.desk import Site, SitePage
from bedside.pages.season.place_pages import months_of
from bedside.pages.season.year_calendar import Event, calendar, escaped, folded
from bedside.pages.season.year_drawing import cold
from bedside.reason.usual_year import years_of
from tests.season_site import knowledge_folder, season_page_set, season_site

LARGEST_PAGE = 40 * 1024
FROST_ALONE = """\
tasks:
  - id: lift
    name: Lift
    anchor: first-freeze
    from_days: 0
    to_days: 14
    freezes: [dates]
    say: {say: Lift them after the first frost., from: [judgement]}
"""


@cache
def built() -> tuple[Site, dict[str, SitePage], dict[str, Asset]]:
    """The season's pages and files, made once."""
    desk, files = season_site(knowledge_folder(Path(mkdtemp())))
    return desk, season_page_set(desk), {file.address: file for file in files}


def page(address: str) -> str:
    return built()[1][address].html


def text_of(html: str) -> str:
    """The words of a page, as a reader without a script and without pictures has them."""
    main = re.search(r"<main.*?</main>", html, re.DOTALL)
    assert main
    bare = re.sub(r"<script.*?</script>|<svg.*?</svg>", " ", main[0], flags=re.DOTALL)
    return " ".join(re.sub(r"<[^>]+>", " ", bare).split())


@pytest.mark.slow
def test_every_place_has_a_small_page() -> None:
    """254 places, each at most 40 KB with everything inside, each title once."""
    places = [it for it in built()[1].values() if "-" in it.address]
    assert len(places) == 254
    assert max(len(it.html.encode()) for it in places) <= LARGEST_PAGE
    titles = [it.title for it in built()[1].values()]
    assert len(titles) == len(set(titles))


@pytest.mark.slow
def test_pages_are_the_same_bytes_twice() -> None:
    """Nothing in a page depends on the clock, the folder or the order of a set."""
    desk, files = season_site(knowledge_folder(Path(mkdtemp())))
    again = season_page_set(desk)
    assert {it: found.html for it, found in again.items()} == {
        it: found.html for it, found in built()[1].items()
    }
    assert {it.address: it.content for it in files} == {
        it: found.content for it, found in built()[2].items()
    }


@pytest.mark.parametrize(
    "address",
    [
        "season/", "season/zip/2/", "mixing/", "season/charlotte-nc/", "season/miami-fl/",
        "season/tampa-fl/", "season/mt-washington-nh/", "season/utqiagvik-barrow-ak/",
        "season/seattle-wa/", "season/brownsville-tx/",
    ],
)  # fmt: skip
def test_pages_are_sound_html(address: str) -> None:
    """A strict parser finds no fault, every id stands once, one h1, no style attribute."""
    parser = html5lib.HTMLParser(strict=True)
    html = page(address)
    parser.parse(html)
    ids = re.findall(r'\sid="([^"]+)"', html)
    assert len(ids) == len(set(ids))
    assert html.count("<h1") == 1
    assert ' style="' not in html
    assert "None" not in text_of(html)
    assert "nan" not in re.sub(r"[a-z]nan|nan[a-z]", "", html.lower())


@pytest.mark.parametrize(
    ("address", "says"),
    [
        (
            "season/charlotte-nc/",
            "Frost is usually over by April 5 and back by October 30.",
        ),
        ("season/charlotte-nc/", "Clear the bed (October 30 to November 13)"),
        ("season/charlotte-nc/", "room for up to 3 generations"),
        ("season/charlotte-nc/", "Nobody has measured how much warmth"),
        ("season/tampa-fl/", "back after New Year, by January 3."),
        ("season/miami-fl/", "Frost is rare here."),
        ("season/miami-fl/", "It can be about all year here."),
        ("season/mt-washington-nh/", "Frost can come in any month here."),
        ("season/seattle-wa/", "We found no dates in print for your state."),
        ("season/chicago-il/", "It may not come at all."),
        ("mixing/", "product on the label, times water in your sprayer"),
        ("mixing/", "More than the label says is against the law"),
    ],
)
def test_words_without_a_script(address: str, says: str) -> None:
    """What the drawing shows stands in words too."""
    assert says in text_of(page(address))


def test_the_constants_are_called_inferred_on_every_place() -> None:
    """No page leaves out that nobody measured these insects."""
    for address, found in built()[1].items():
        if "-" in address:
            assert "worked the sums out from their nearest relatives" in found.html


def test_the_mixing_page_proposes_nothing() -> None:
    """No field of the mixing page holds a number before the gardener types one."""
    assert not re.search(r"<input[^>]*\s(?:value|placeholder)=", page("mixing/"))


def test_no_label_number_is_proposed() -> None:
    """Nor do the two fields for the label on a place's page."""
    fields = re.findall(r'<input id="(?:gap|most)"[^>]*>', page("season/charlotte-nc/"))
    assert len(fields) == 2
    assert not any("value=" in it or "placeholder=" in it for it in fields)


def test_places_are_found_without_a_script() -> None:
    """By state and by ZIP every place is two links away at most."""
    by_state = set(re.findall(r'href="([a-z-]+)/"', page("season/")))
    season = built()[0].season
    assert season is not None
    assert set(season.places) <= by_state
    digits = {area.digits for area in season.zips.values()}
    listed = {
        row
        for address in built()[1]
        if address.startswith("season/zip/")
        for row in re.findall(r'id="z(\d{3})"', page(address))
    }
    assert listed == digits


def test_far_and_mountain_places_warn() -> None:
    """A town far away, or far higher than the ZIP's own frost records, says so."""
    warned = page("season/zip/0/")
    row = re.search(r'<tr id="z042">.*?</tr>', warned, re.DOTALL)
    assert row
    assert "Mountains" in row[0]
    assert "Far away" in page("season/zip/8/")


def test_calendars_of_all_places_parse() -> None:
    """An independent parser reads every file: ids once, whole days, no endless repeat."""
    season = built()[0].season
    assert season is not None
    for place in season.places:
        content = built()[2][calendar_address(place)].content
        events = icalendar.Calendar.from_ical(content).walk("VEVENT")
        uids = [str(event["UID"]) for event in events]
        assert len(uids) == len(set(uids)) > 0
        for event in events:
            assert event["DTSTART"].params["VALUE"] == "DATE"
            assert event.decoded("DTEND") > event.decoded("DTSTART")
            assert b"COUNT=" in event.to_ical()


def test_with_several_plants_a_month_goes_by_plant() -> None:
    """What holds for all stands first, then each plant's own under its name."""
    season = built()[0].season
    assert season is not None
    place = season.places["charlotte-nc"]
    others = tuple(replace(it, plant="iris") for it in season.tasks)
    both = replace(season, tasks=(*season.tasks, *others))
    names = {season.tasks[0].plant: "Mossbell", "iris": "Iris"}
    months = months_of(place, both, years_of(place, both), names)
    assert [*months["April"]] == ["", "Mossbell", "Iris"]
    assert [it.kind for it in months["April"][""]] == ["frost-ends"]
    alone = months_of(place, season, years_of(place, season), {})
    assert all([*plants] == [""] for plants in alone.values())
    for month, plants in alone.items():
        told = months[month]
        ours = [*told.get("", []), *told.get("Mossbell", [])]
        assert sorted(map(repr, ours)) == sorted(map(repr, plants[""]))


def test_a_hatch_says_where_to_look_for_this_insect() -> None:
    """Where its young ones sit stands in its record, and goes into calendar and script."""
    season = built()[0].season
    assert season is not None
    content = built()[2][calendar_address("charlotte-nc")].content
    told = [str(it["DESCRIPTION"]) for it in icalendar.Calendar.from_ical(content).events]
    for insect in season.insects:
        assert any(it.startswith(f"{insect.look} Counted") for it in told)
        assert json.dumps(insect.look) in page("season/charlotte-nc/")


def test_calendar_bytes() -> None:
    """RFC 5545: CRLF everywhere, no line over 75 octets, nothing bare."""
    content = built()[2][calendar_address("charlotte-nc")].content
    lines = content.split(b"\r\n")
    assert lines.pop() == b""
    assert all(len(line) <= 75 for line in lines)
    assert not any(b"\n" in line or b"\r" in line for line in lines)
    assert lines[0] == b"BEGIN:VCALENDAR"
    assert b"VERSION:2.0" in lines


@given(st.text(min_size=1, max_size=200), st.text(max_size=300))
def test_any_text_comes_back_from_a_calendar(summary: str, description: str) -> None:
    """Escaping and folding lose nothing, whatever the text."""
    plain = {
        key: "".join(it for it in text if it.isprintable() or it == "\n") or "x"
        for key, text in (("summary", summary), ("description", description))
    }
    event = Event(uid="1@example", first=date(2026, 2, 28), last=date(2026, 2, 28), **plain)
    content = calendar("Name", [event], date(2026, 1, 1))
    assert all(len(line) <= 75 for line in content.split(b"\r\n"))
    (read,) = icalendar.Calendar.from_ical(content).walk("VEVENT")
    assert (str(read["SUMMARY"]), str(read["DESCRIPTION"])) == tuple(plain.values())
    assert read.decoded("DTEND") == date(2026, 3, 1)


def test_folding_keeps_characters_whole() -> None:
    """A line of two-octet characters breaks between them."""
    first, second = folded("é" * 40).split("\r\n")
    assert len(first.encode()) <= 75
    assert second.startswith(" ")
    assert (first + second[1:]) == "é" * 40
    assert escaped("a,b;c\\d\ne") == "a\\,b\\;c\\\\d\\ne"


@pytest.mark.parametrize(
    ("first", "last", "says"),
    [
        ((4, 5), (4, 19), "April 5 to 19"),
        ((4, 5), (5, 3), "April 5 to May 3"),
        ((4, 5), (4, 5), "April 5"),
        ((1, 1), (12, 31), "January 1 to December 31"),
    ],
)
def test_spans_in_words(first: tuple[int, int], last: tuple[int, int], says: str) -> None:
    """A range says its month once where it can."""
    assert span_in_words(day_number(*first), day_number(*last)) == says


def test_days_of_real_years() -> None:
    """Days before and after the year fall into the neighbouring years."""
    assert on_calendar(0, 2028) == date(2028, 1, 1)
    assert on_calendar(DAYS + 5, 2027) == date(2028, 1, 6)
    assert on_calendar(-1, 2027) == date(2026, 12, 31)
    assert on_calendar(day_number(12, 31), 2028) == date(2028, 12, 31)


def test_frost_on_the_drawing() -> None:
    """Two stretches as a rule, one if it comes after New Year, none if it is rare."""
    assert cold(Frost(kind="dates", last=94, first=302)) == ((0, 94), (302, DAYS))
    assert cold(Frost(kind="dates", last=30, first=DAYS + 2)) == ((2, 30),)
    assert cold(Frost(kind="rare")) == ()
    assert cold(Frost(kind="any-month")) == ((0, DAYS),)
    assert within_year(-4, 17) == ((0, 17), (361, DAYS))
    assert within_year(10, 20) == ((10, 20),)


def test_every_mark_lies_on_its_drawing() -> None:
    """No point of any path falls outside the drawing it is on."""
    for address in (
        "miami-fl",
        "tampa-fl",
        "charlotte-nc",
        "mt-washington-nh",
        "phoenix-az",
    ):
        assert_on_its_drawing(page(place_address(address)))


def assert_on_its_drawing(html: str) -> None:
    for size, drawing in re.findall(
        r'viewBox="0 0 (\d+ \d+)" role="img"(.*?)</svg>', html, re.DOTALL
    ):
        width, height = map(int, size.split())
        marks = "".join(re.findall(r' d="([^"]*)"', drawing.partition("</defs>")[2]))
        points = re.findall(r"(-?[\d.]+) (-?[\d.]+)", marks)
        assert points
        assert all(0 <= float(x) <= width for x, _ in points)
        assert all(0 <= float(y) <= height for _, y in points)


def test_a_place_where_only_frost_is_known(tmp_path: Path) -> None:
    """Frost and tasks, a calendar and a drawing; no word of insects or a spray."""
    folder = knowledge_folder(tmp_path)
    (folder / "mossbell" / "insects.yaml").unlink()
    (folder / "mossbell" / "year.yaml").write_text(FROST_ALONE, encoding="utf-8")
    desk, files = season_site(folder)
    html = season_page_set(desk)[place_address("raleigh-nc")].html
    text = text_of(html)
    assert "First frost has come by October 31" in text
    assert "Lift (October 31 to November 14)" in text
    said = html[html.index("<main") :].lower()
    assert not [it for it in ("insect", "caterpillar", "spray") if it in said]
    assert "season.js" not in html
    assert_on_its_drawing(html)
    (calendar_file,) = (it for it in files if it.address == calendar_address("raleigh-nc"))
    events = icalendar.Calendar.from_ical(calendar_file.content).walk("VEVENT")
    assert [str(it["SUMMARY"]) for it in events] == ["Lift"]
