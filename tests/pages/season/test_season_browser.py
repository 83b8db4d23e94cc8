"""The season's scripts in a real browser: Python's numbers, and pages that work."""

import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from random import Random
from typing import Any

import icalendar
import pypdfium2
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from bedside.model.season import DAYS, Span
from bedside.pages.season.mixing_page import UNITS, WATER, WEIGHED, mixing_data
from bedside.pages.season.place_pages import place_data
from bedside.pages.season.year_calendar import Event, calendar
from tests.browser import served
from tests.odd_font import browser_with_odd_font
from tests.pages.season.label_arithmetic import Refused, measure
from tests.reason.what_follows import Forecast, spray_days, what_follows
from tests.season_data import real_season
from tests.season_site import knowledge_folder, season_page_set, season_site, write_site
from tests.sweep import SWEEP

SEASON = real_season()
PLACES = (
    "charlotte-nc", "miami-fl", "tampa-fl", "houston-tx", "chicago-il", "seattle-wa",
    "mt-washington-nh", "utqiagvik-barrow-ak", "phoenix-az", "brownsville-tx",
)  # fmt: skip


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The season's pages, served."""
    folder = tmp_path_factory.mktemp("season")
    desk, files = season_site(knowledge_folder(folder))
    with served(write_site(folder / "site", season_page_set(desk), files)) as found:
        yield found


@pytest.fixture
def page(browser: Browser, address: str) -> Iterator[Page]:
    """A new page that fails the test on any error in a script."""
    context = browser.new_context(viewport={"width": 360, "height": 640})
    opened = context.new_page()
    errors: list[str] = []
    opened.on("pageerror", lambda error: errors.append(str(error)))
    opened.on("console", lambda it: errors.append(it.text) if it.type == "error" else None)
    yield opened
    context.close()
    assert errors == []


def in_module(page: Page, address: str, script: str, body: str, given: Any) -> Any:
    """What a function of one of our modules gives, run in the browser."""
    page.goto(f"{address}season/zip/2/")
    found = page.evaluate(
        f"async (given) => {{ const m = await import('{address}assets/{script}');"
        f" return JSON.stringify((({body}))(m, JSON.parse(given))); }}",
        json.dumps(given),
    )
    return json.loads(found)


def as_list(span: Span | None) -> list[int] | None:
    return [span.low, span.likely, span.high] if span else None


def expected(forecast: Forecast, gap: int, most: int | None) -> dict[str, Any]:
    return {
        "hatch": as_list(forecast.hatch),
        "until": as_list(forecast.young_until),
        "next": as_list(forecast.next_hatch),
        "looks": list(forecast.looks),
        "last": forecast.last_useful,
        "inSeason": forecast.in_season,
        "beforeFrost": forecast.before_frost,
        "sprays": list(spray_days(forecast, gap, most)),
    }


def test_what_follows_is_pythons(page: Page, address: str) -> None:
    """Ten places, every insect and sight, days over the year: the same days to the day."""
    random = Random(5)
    for name in PLACES:
        place = SEASON.places[name]
        cases, wanted = [], []
        for at, insect in enumerate(SEASON.insects):
            for nth, sight in enumerate(insect.sights):
                for day in random.sample(range(DAYS), 20):
                    gap, most = random.randint(1, 30), random.choice([None, 1, 2, 3, 9])
                    cases.append([at, nth, day, gap, most])
                    found = what_follows(
                        place, insect, sight, day, SEASON.growth.weather_days
                    )
                    wanted.append(expected(found, gap, most))
        body = """(m, {data, cases}) => cases.map(([at, nth, day, gap, most]) => {
            const insect = data.insects[at];
            const found = m.whatFollows(data, insect, insect.sights[nth], day);
            const sprays = m.sprayDays(found, gap, most === null ? Infinity : most);
            return {...found, sprays};
        })"""
        data = json.loads(place_data(place, SEASON, {}, {}))
        given = {"data": data, "cases": cases}
        assert in_module(page, address, "season.js", body, given) == wanted, name


def test_dates_are_read_strictly(page: Page, address: str) -> None:
    """Days that do not exist are refused in words; 29 February shares its neighbour's."""
    texts = [
        "2026-02-31", "2026-02-29", "2028-02-29", "2026-13-01", "2026-00-10", "", "soon",
        "1926-07-01", "2026-07-14", "2026-7-4", "2026-12-31", "14.7.2026", "2100-02-29",
    ]  # fmt: skip
    body = "(m, texts) => texts.map((text) => m.readDate(text))"
    found = in_module(page, address, "season.js", body, texts)
    days = [it.get("value", {}).get("day") for it in found]
    assert days == [
        None, None, 58, None, None, None, None, None, 194, 184, 364, None, None,
    ]  # fmt: skip
    assert all(it["wrong"] for it, day in zip(found, days, strict=True) if day is None)
    assert found[0]["wrong"] == "February 2026 has no day 31."


def test_label_numbers_are_read_strictly(page: Page, address: str) -> None:
    """0 or 400 days between sprays, words and decimals are refused; empty is allowed."""
    body = "(m, texts) => texts.map((text) => m.readCount(text, 'Days', 120))"
    texts = ["", " ", "7", "0", "400", "7,5", "7.5", "-7", "seven", "99999"]
    found = in_module(page, address, "season.js", body, texts)
    assert [it.get("value", "wrong") for it in found] == [None, None, 7, *["wrong"] * 7]


def test_zip_codes_are_read_strictly(page: Page, address: str) -> None:
    """Five digits, nine, or the first three; nothing else."""
    body = "(m, texts) => texts.map((text) => m.readZip(text).value || 'wrong')"
    texts = ["28202", "28202-1234", " 282 ", "2820", "SW1A", "", "282021"]
    found = in_module(page, address, "season.js", body, texts)
    assert found == ["282", "282", "282", *["wrong"] * 4]


def test_calendar_file_is_pythons(page: Page, address: str) -> None:
    """The browser writes the same bytes as Python for the same events."""
    texts = ("Look, then; act\\now", "é" * 90, "Two\nlines", "plain", "🐛" * 30)
    events = [
        Event(uid=f"{n}@example", first=date(2028, 2, 28), last=date(2028, 2, 29),
              summary=text, description=text * 2)
        for n, text in enumerate(texts)
    ]  # fmt: skip
    given = [
        [it.uid, it.first.isoformat(), it.last.isoformat(), it.summary, it.description]
        for it in events
    ]
    body = """(m, given) => m.calendar("A, b", given.map((it) => ({
        uid: it[0], first: new Date(it[1]), last: new Date(it[2]), summary: it[3],
        description: it[4]})), new Date("2026-01-02"))"""
    found = in_module(page, address, "season.js", body, given)
    assert found.encode() == calendar("A, b", events, date(2026, 1, 2))


def test_mixing_is_pythons(page: Page, address: str) -> None:
    """A thousand mixtures and every wrong number: the same answer, digit for digit."""
    random = Random(6)
    texts = [
        "1", "2.5", "1/2", "1 1/2", "½", "2¼", "1,5", "", "0", "x", "999", "0.07", "1/0",
        "1234567890", ".", "3-1/3",
    ]  # fmt: skip
    cases = [
        [[random.choice(texts), random.choice([*UNITS, *WEIGHED])]]
        + [[random.choice(texts[:6] + texts[10:12]), random.choice(WATER)] for _ in "ab"]
        for _ in range(1000)
    ]
    body = "(m, {data, cases}) => cases.map((it) => m.measure(...it, data))"
    given = {"data": json.loads(mixing_data()), "cases": cases}
    found = in_module(page, address, "mixing.js", body, given)
    for case, ours in zip(cases, found, strict=True):
        amount, per, sprayer = ((text, unit) for text, unit in case)
        wanted = measure(amount, per, sprayer)
        if isinstance(wanted, Refused):
            assert ours == {"field": wanted.field, "reason": wanted.reason}, case
        else:
            assert ours == {
                "tenths": wanted.tenths_ml, "spoon": wanted.spoon,
                "quarters": wanted.quarters, "fit": wanted.fit,
            }, case  # fmt: skip


def ask(page: Page, address: str, gap: str = "", most: str = "") -> str:
    """Ask in Charlotte about a first roll on 15 June 2026; gives what is answered."""
    page.goto(f"{address}season/charlotte-nc/#lesser-leafroller.roll")
    page.fill("#when", "2026-06-15")
    page.fill("#gap", gap)
    page.fill("#most", most)
    page.click("#seen button")
    return page.inner_text("#next")


def test_a_roll_in_june(page: Page, address: str) -> None:
    """Without label numbers no spray date is named, only the days that matter."""
    says = ask(page, address)
    assert "Next hatch: July 8 to 21" in says
    assert "worth it from July 8 to" in says
    assert "by your label" not in says
    assert "Last useful day: about September 20" in says
    assert "Keep off open flowers" in says
    assert "Read and follow your label" in says
    drawn = page.eval_on_selector_all(
        ".seen", "marks => marks.map(m => m.getAttribute('d'))"
    )
    assert len(drawn) == 2
    assert all(drawn)


def test_spray_dates_obey_the_label(page: Page, address: str) -> None:
    """The two numbers typed in bound the dates: so far apart, and no more of them."""
    says = ask(page, address, "10", "2")
    (line,) = [it for it in says.split("\n") if "by your label" in it]
    assert line.endswith("by your label: July 9 and July 19")


@pytest.mark.parametrize(
    ("gap", "most", "field"),
    [("0", "", "gap"), ("400", "", "gap"), ("", "3", "gap"), ("7", "x", "most")],
)
def test_a_wrong_label_number_is_answered(
    page: Page, address: str, gap: str, most: str, field: str
) -> None:
    """A number that can't be is named at its field, and no date is shown."""
    says = ask(page, address, gap, most)
    assert "Next hatch" not in says
    assert page.get_attribute(f"#{field}", "aria-invalid") == "true"
    assert page.evaluate("document.activeElement.id") == field


def test_the_calendar_that_is_offered_parses(page: Page, address: str) -> None:
    """The file holds the looks and the sprays that the page lists, whole days, ids once."""
    ask(page, address, "10", "2")
    with page.expect_download() as download:
        page.click("#next a.btn")
    content = Path(download.value.path()).read_bytes()
    events = icalendar.Calendar.from_ical(content).walk("VEVENT")
    uids = [str(event["UID"]) for event in events]
    assert len(uids) == len(set(uids))
    sprays = [event.decoded("DTSTART") for event in events if "spray" in str(event["UID"])]
    assert sprays == [date(2026, 7, 9), date(2026, 7, 19)]
    assert all(len(line) <= 75 for line in content.split(b"\r\n"))


def test_winter_is_questioned(page: Page, address: str) -> None:
    """A date at which no leaf stands outdoors is asked about, and still answered."""
    page.goto(f"{address}season/charlotte-nc/")
    page.fill("#when", "2026-01-20")
    page.click("#seen button")
    assert "Is the date right?" in page.inner_text("#next")


def test_too_cold_a_place_has_its_answer(page: Page, address: str) -> None:
    """Where no further generation fits, the page says so."""
    page.goto(f"{address}season/utqiagvik-barrow-ak/")
    page.fill("#when", "2026-07-20")
    page.click("#seen button")
    assert "not usually warm enough" in page.inner_text("#next")


def test_a_zip_code_leads_to_its_town(page: Page, address: str) -> None:
    """The form finds the town, says how far it is, and answers nonsense in words."""
    page.goto(f"{address}season/")
    page.fill("#zip", "28202")
    page.click("#by-zip button")
    page.wait_for_selector("#zip-says a")
    assert "The year in Charlotte, NC" in page.inner_text("#zip-says")
    page.click("#zip-says a")
    page.wait_for_url("**/season/charlotte-nc/**")
    assert page.inner_text("h1") == "The year in Charlotte, NC"
    page.goto(f"{address}season/")
    for text, says in (("nowhere", "five digits"), ("00000", "no town")):
        page.fill("#zip", text)
        page.click("#by-zip button")
        page.wait_for_selector(f"#zip-says >> text={says}")


def test_mixing_in_the_page(page: Page, address: str) -> None:
    """A mixture is answered in millilitres and spoons; a weighed product is refused."""
    page.goto(f"{address}mixing/")
    for field, text, unit in (
        ("amount", "1", "pint"),
        ("per", "100", "gal"),
        ("sprayer", "1", "gal"),
    ):
        page.fill(f"#{field}", text)
        page.select_option(f"#{field}-unit", unit)
    page.click("#mix button")
    says = page.inner_text("#measured")
    assert "Measure 4.7 ml" in says
    assert "just under 1 teaspoon" in says
    assert "more is against the law" in says
    page.select_option("#amount-unit", "oz")
    page.click("#mix button")
    assert "this product is weighed" in page.inner_text("#measured")


@pytest.mark.parametrize(
    "where", ["season/", "season/charlotte-nc/", "season/zip/2/", "mixing/"]
)
@pytest.mark.parametrize("width", [320, 360, 768, 1280])
def test_nothing_runs_over_the_edge(
    browser: Browser,
    address: str,
    where: str,
    width: int,
) -> None:
    """No page of the season scrolls sideways, whatever the screen."""
    context = browser.new_context(viewport={"width": width, "height": 800})
    page = context.new_page()
    page.goto(address + where)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    context.close()


UNADJUSTED = "@media print { * { font-size-adjust: none !important } }"
PRINTED = sorted(SEASON.places) if SWEEP else PLACES


def test_a_place_prints_on_one_sheet(browser: Browser, address: str) -> None:
    """US letter and A4: one sheet, in the font that is there; and nothing is fetched."""
    assert printed_on_more(browser, address) == []


def test_a_place_prints_on_one_sheet_in_any_font(
    browser: Browser, address: str, tmp_path: Path
) -> None:
    """One sheet too where the only font is larger and as wide as a typewriter's."""
    with browser_with_odd_font(browser, tmp_path) as odd:
        assert printed_on_more(odd, address) == []
        page = odd.new_page(bypass_csp=True)
        page.goto(f"{address}season/{PLACES[0]}/")
        page.add_style_tag(content=UNADJUSTED)
        assert sheets(page, "Letter") > 1  # so hard is this font, and so much is at stake


def printed_on_more(browser: Browser, address: str) -> list[tuple[str, str]]:
    """Places and papers that need more than a sheet."""
    page = browser.new_page(service_workers="block", bypass_csp=True)
    fetched: list[str] = []
    page.on("request", lambda it: fetched.append(it.resource_type))
    found = []
    for place in PRINTED:
        page.goto(f"{address}season/{place}/")
        found += [(place, it) for it in ("Letter", "A4") if sheets(page, it) != 1]
    page.close()
    assert "font" not in fetched
    return found


def sheets(page: Page, paper: str) -> int:
    """How many sheets a page takes."""
    document = pypdfium2.PdfDocument(page.pdf(format=paper))
    count = len(document)
    document.close()
    return count


def test_without_a_script(browser: Browser, address: str) -> None:
    """With scripts off the forms stay away and everything else is there."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{address}season/charlotte-nc/")
    assert not page.is_visible("#ask")
    assert page.is_visible("text=Month by month")
    page.goto(f"{address}season/")
    assert not page.is_visible("#by-zip")
    page.click("text=2 >> nth=0")
    page.goto(f"{address}mixing/")
    assert not page.is_visible("#mix")
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(
    "where", ["season/", "season/charlotte-nc/", "season/zip/2/", "mixing/"]
)
def test_no_rule_of_accessibility_is_broken(
    browser: Browser,
    address: str,
    where: str,
    scheme: Any,
) -> None:
    """The rules shipped with axe find nothing, answers and folded parts open."""
    context = browser.new_context(color_scheme=scheme, bypass_csp=True)
    page = context.new_page()
    page.goto(address + where)
    if page.query_selector("#seen"):
        page.fill("#when", "2026-06-15")
        page.click("#seen button")
    page.evaluate("document.querySelectorAll('details').forEach(it => it.open = true)")
    found = Axe().run(page, options={"resultTypes": ["violations"]}).response
    assert found["violations"] == []
    context.close()
