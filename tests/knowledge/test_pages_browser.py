"""Pages as a gardener meets them: in a real browser, with and without scripts."""

import json
import random
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Any, Literal
from urllib.parse import unquote

import html5lib
import pypdfium2
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Route, ViewportSize

from bedside.pages.all_pages import all_assets
from bedside.pages.frame.desk import Site
from bedside.pages.frame.templates import PageFacts
from bedside.pages.walk.result_pages import result_view
from bedside.reason.findings import format_fragment
from tests.fragments import parse_fragment

ROOT = Path(__file__).parents[2]
TOY = Path(__file__).parents[1] / "toy"
FOUND = {"resultTypes": ["violations"]}  # of all else axe then tells one place a rule
RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
}
RULES_OF_COLOURS = {"runOnly": ["color-contrast", "link-in-text-block"]}
SCHEMES: dict[Literal["light", "dark"], dict[str, list[str]]] = {
    "light": RULES,
    "dark": RULES_OF_COLOURS,
}
AT_REST = """() => Promise.all(document.getAnimations()
  .filter((it) => it.effect.getComputedTiming().endTime !== Infinity)
  .map((it) => it.finished.catch(() => {})))"""
WALKS = 5
SETS = 60


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    opened = browser.new_page(viewport={"width": 360, "height": 640})
    faults: list[str] = []
    opened.on("pageerror", lambda error: faults.append(str(error)))
    opened.on("console", lambda m: faults.append(m.text) if m.type == "error" else None)
    yield opened
    opened.close()
    assert not faults


KINDS = {
    "home": "",
    "question": "canna/",
    "result": "canna/result/#whorl-shut.stitches",
    "open result": "canna/result/#rolled",
    "cause": "causes/lesser-leafroller/",
    "control": "controls/btk/",
    "causes": "causes/",
    "controls": "controls/",
    "against": "controls/not-recommended/",
    "local help": "local-help/",
    "about": "about/",
    "how sure": "about/how-sure/",
    "emergencies": "emergencies/",
    "topics": "topics/",
    "topic": "topics/dividing-and-sharing/",
    "sources": "about/sources/",
    "year": "season/",
    "place": "season/raleigh-nc/",
    "mixing": "mixing/",
    "lost": "404.html",
}


@pytest.mark.parametrize("width", [360, 1280])
@pytest.mark.parametrize("kind", KINDS)
def test_no_rule_of_accessibility_is_broken(
    browser: Browser, site: str, kind: str, width: int
) -> None:
    """axe finds nothing on any page kind, narrow and wide, light and dark. What does not
    hang on colours is looked at once: only colours change with the scheme."""
    size: ViewportSize = {"width": width, "height": 800}
    page = browser.new_page(viewport=size, service_workers="block")
    page.emulate_media(color_scheme="light")
    open_at(page, site + KINDS[kind])
    page.evaluate(Axe().axe_script)
    for scheme, rules in SCHEMES.items():
        page.emulate_media(color_scheme=scheme)
        page.evaluate(AT_REST)  # a colour on its way is neither the old one nor the new one
        response = page.evaluate("it => axe.run(it)", {**rules, **FOUND})
        found = response["violations"]
        assert not [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found]
        assert "color-contrast" in {it["id"] for it in response["passes"]}, scheme
    page.close()


@pytest.mark.parametrize("kind", KINDS)
def test_pages_fit_a_narrow_screen_and_a_spread_text(
    page: Page, site: str, kind: str
) -> None:
    """At 320 px nothing scrolls sideways, also with the text spacing of WCAG 1.4.12."""
    page.set_viewport_size({"width": 320, "height": 640})
    open_at(page, site + KINDS[kind])
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    page.evaluate(
        "for (const e of document.querySelectorAll('main *')) { e.style.lineHeight = '1.5';"
        "e.style.letterSpacing = '.12em'; e.style.wordSpacing = '.16em' }"
    )
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


@pytest.mark.parametrize("kind", KINDS)
def test_text_may_grow_to_twice_its_size(page: Page, site: str, kind: str) -> None:
    """At 640 px with text of 200 % (WCAG 1.4.4) nothing is cut off or scrolls sideways."""
    page.set_viewport_size({"width": 640, "height": 640})
    open_at(page, site + KINDS[kind])
    page.evaluate(
        "document.documentElement.style.fontSize ="
        "2 * parseFloat(getComputedStyle(document.documentElement).fontSize) + 'px'"
    )
    assert page.evaluate("document.documentElement.scrollWidth") <= 640


def test_a_place_and_a_season_weigh_an_answer_again(page: Page, site: str) -> None:
    """The choice stands in the address, is said on the page, and rides on in its links."""
    open_at(page, f"{site}canna/result/#rolled.edge-flap")
    before = page.locator("#result").inner_text()
    page.locator("#place summary").click()
    page.locator("#zone option").nth(1).wait_for(state="attached")
    page.locator("#zone").focus()
    page.select_option("#zone", "uk-ireland")
    page.select_option("#season", "summer")
    page.locator(".notes li").wait_for()
    assert page.url.endswith("#rolled.edge-flap~uk-ireland.summer")
    assert "United Kingdom and Ireland, summer" in page.locator(".notes").inner_text()
    assert page.locator("#place select").first.evaluate("e => e === document.activeElement")
    links = page.locator('#result a[href*="result/#"]')
    hrefs = [link.get_attribute("href") or "" for link in links.all()]
    assert hrefs
    assert all(href.endswith("~uk-ireland.summer") for href in hrefs)
    page.select_option("#zone", "")
    page.locator(".notes li").wait_for(state="detached")
    assert page.locator("#result").inner_text() == before


def test_an_unknown_place_counts_for_nothing(page: Page, site: str) -> None:
    """A made-up zone in an address changes no share and is not shown."""
    open_at(page, f"{site}canna/result/#rolled.edge-flap")
    before = page.locator("#result").inner_text()
    open_at(page, f"{site}canna/result/#rolled.edge-flap~constructor.__proto__")
    assert page.locator("#result").inner_text() == before


@pytest.mark.parametrize("width", [320, 390])
def test_answers_are_large_enough_to_touch(page: Page, site: str, width: int) -> None:
    """Each answer is at least 44 by 44 px, every other link 24 px high or apart."""
    page.set_viewport_size({"width": width, "height": 640})
    open_at(page, f"{site}canna/")
    for link in page.query_selector_all("[data-say]"):
        box = link.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 44


def test_the_first_answer_is_three_tabs_away(page: Page, site: str) -> None:
    """The keyboard reaches the first answer within four stops, the skip link among them."""
    open_at(page, f"{site}canna/")
    stops = []
    for _ in range(4):
        page.keyboard.press("Tab")
        stops.append(page.evaluate("document.activeElement.dataset.say ?? ''"))
    assert any(stops)


def test_every_stop_of_the_keyboard_can_be_seen(page: Page, site: str) -> None:
    """Tab through a question: each stop has a ring and stands on the screen."""
    open_at(page, f"{site}canna/")
    for _ in range(12):
        page.keyboard.press("Tab")
        ring, inside = page.evaluate(
            "() => { const e = document.activeElement, b = e.getBoundingClientRect();"
            "return [parseFloat(getComputedStyle(e).outlineWidth),"
            " b.top >= 0 && b.bottom <= innerHeight + 1] }"
        )
        assert ring >= 2
        assert inside


def test_no_request_leaves_the_site(browser: Browser, site: str) -> None:
    """Every page kind loads from its own host alone, and sets no cookie."""
    context = browser.new_context()
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    for address in KINDS.values():
        open_at(page, site + address)
    assert {url for url in asked if not url.startswith((site, "data:", "blob:"))} <= {
        "about:blank"
    }
    assert not context.cookies()
    context.close()


def test_the_first_screen_holds_what_matters(page: Page, site: str) -> None:
    """On a phone of 360 by 640 the name, how sure and the first step need no scrolling."""
    open_at(page, f"{site}canna/result/#rolled.whorl-shut.stitches")
    for part in ("h1", ".sure", ".do"):
        box = page.locator(part).first.bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= 640, part


def test_answers_lead_to_an_end_without_scripts(browser: Browser, site: str) -> None:
    """With scripts off, links alone lead from home to a result with a first step."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(site)
    with page.expect_navigation():
        page.locator('main a[href="canna/"]').click()
    for _ in range(9):
        if "/result/" in page.url:
            break
        with page.expect_navigation():
            page.locator("[data-say]").first.click()
    assert "/result/" in page.url
    assert page.locator(".now .do").inner_text()
    context.close()


def test_walks_say_the_same_as_the_arithmetic(
    page: Page, site: str, real_desk: Site
) -> None:
    """Random walks with skips end on pages that show exactly Python's result for them."""
    draw = random.Random(20261125)
    desk = real_desk.desks["canna"]
    for _ in range(WALKS):
        open_at(page, f"{site}canna/")
        for _ in range(9):
            if "/result/" in page.url:
                break
            links = page.locator("[data-say]")
            with page.expect_navigation():
                links.nth(draw.randrange(links.count())).click()
            settled(page)
        findings = parse_fragment(desk.evidence, page.url.partition("#")[2]).findings
        view = result_view(real_desk, desk, findings)
        shown = page.locator("h1").inner_text().lower()
        assert view.head.name.lower() in shown, page.url
        assert page.locator(".now .do").inner_text() == view.now.do


@pytest.fixture(scope="module")
def told(real_desk: Site) -> list[str]:
    """Fragments of random findings."""
    draw = random.Random(7)
    desk = real_desk.desks["canna"]
    sets = [""]
    for _ in range(SETS):
        signs = draw.sample(sorted(desk.plant.signs), draw.randint(1, 6))
        said = [draw.choice([*desk.evidence.signs[it].answers, it]) for it in signs]
        sets.append(format_fragment(parse_fragment(desk.evidence, ".".join(said)).findings))
    return sets


def test_the_browser_makes_the_same_view(
    page: Page, site: str, real_desk: Site, told: list[str]
) -> None:
    """For random findings the script's view equals Python's, field by field."""
    desk = real_desk.desks["canna"]
    page.goto(f"{site}canna/")
    made = page.evaluate(
        """async ([data, sets]) => {
          const { viewOf } = await import("/assets/result_view.js");
          const { parseFragment } = await import("/assets/reason.js");
          return JSON.stringify(sets.map((text) =>
            viewOf(data, parseFragment(data.table, text).findings)));
        }""",
        [results_data(real_desk), told],
    )
    for text, view in zip(told, json.loads(made), strict=True):
        findings = parse_fragment(desk.evidence, text).findings
        ours = json.loads(json.dumps(asdict(result_view(real_desk, desk, findings))))
        assert view == ours, text


def test_a_result_from_the_script_reads_like_a_built_one(
    page: Page, site: str, real_desk: Site, told: list[str]
) -> None:
    """The skeleton that a script fills says the same words as the page that is built."""
    desk = real_desk.desks["canna"]
    page.goto(f"{site}canna/")
    made = page.evaluate(
        """async ([data, sets]) => {
          const { viewOf } = await import("/assets/result_view.js");
          const { parseFragment } = await import("/assets/reason.js");
          const { filled } = await import("/assets/slots.js");
          const links = { "@": () => "", ">": () => "" };
          return sets.map((text) => {
            const view = viewOf(data, parseFragment(data.table, text).findings);
            return filled(data.skeleton, view, links).content.textContent;
          });
        }""",
        [results_data(real_desk), told],
    )
    for text, read in zip(told, made, strict=True):
        findings = parse_fragment(desk.evidence, text).findings
        built = real_desk.templates.render(
            "result.html.j2",
            PageFacts(address="canna/result/x/", title="x", description="x"),
            {},
            result_view(real_desk, desk, findings),
        )
        html = html5lib.parse(built, namespaceHTMLElements=False)
        result = next(it for it in html.iter() if it.get("id") == "result")
        for drawn in [it for it in result.iter() if str(it.tag).endswith("}svg")]:
            drawn.clear()
        assert letters(read) == letters("".join(result.itertext())), text


def results_data(desk: Site) -> dict[str, Any]:
    """What a result page loads: its own file, with the table of the walk's."""
    files = {it.address: it.content for it in all_assets(desk)}
    walk = json.loads(files["assets/canna-walk.json"])
    return {**json.loads(files["assets/canna.json"]), "table": walk["table"]}


def test_change_keeps_the_other_answers(page: Page, toy_address: str) -> None:
    """After *change*, the rest is not asked again: the new answer leads straight back."""
    open_at(page, f"{toy_address}mossbell/result/#holes.no-trace.round-holes")
    page.locator("summary", has=page.locator("#told")).click()
    page.locator(".told a").nth(1).click()
    page.wait_for_url("**/mossbell/trace/#holes.round-holes*")
    settled(page)
    page.locator('[data-say="pellets"]').click()
    page.wait_for_url(f"{toy_address}mossbell/result/#*")
    settled(page)
    said = page.url.partition("#")[2].partition("~")[0]
    assert sorted(said.split(".")) == ["holes", "pellets", "round-holes"]
    assert "bell moth" in page.locator("h1").inner_text()


@pytest.mark.parametrize(
    "junk",
    [
        "holes.holes", "nonsense", "%3Cscript%3Ealert(1)%3C/script%3E", "holes.spots",
        "%E0%A4%A", "a" * 5000, "....", "__proto__.constructor.toString",
    ],
)  # fmt: skip
def test_junk_in_an_address_is_left_out_with_a_word(
    page: Page, toy_address: str, junk: str
) -> None:
    """Unknown, repeated, contradictory or broken findings never run and never break, and
    nothing of what stood there is shown."""
    dialogs: list[str] = []
    page.on("dialog", lambda dialog: dialogs.append(dialog.message))
    for place in ("mossbell/result/", "mossbell/result/bell-moth/", "mossbell/trace/"):
        open_at(page, f"{toy_address}{place}#{junk}")
        assert page.locator("h1").inner_text()
    open_at(page, f"{toy_address}mossbell/result/#{junk}")
    if junk != "....":
        assert page.locator(".notes li").count() >= 1
    if junk not in ("holes.holes", "holes.spots", "...."):
        assert unquote(junk, errors="replace")[:40] not in (page.text_content("body") or "")
    assert not dialogs


def test_a_tick_takes_a_step_away_and_says_why(browser: Browser, toy_address: str) -> None:
    """Without scripts: a ticked place closes a spray and shows the reason; bloom is on."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{toy_address}causes/bell-moth/")
    assert page.locator("#is-in-bloom").is_checked()
    assert page.locator(".w-in-bloom").first.is_visible()
    assert not page.locator(".x-in-bloom > .detail").first.is_visible()
    page.locator("#is-in-bloom").uncheck()
    assert not page.locator(".w-in-bloom").first.is_visible()
    assert page.locator(".x-in-bloom > .detail").first.is_visible()
    page.locator("#is-in-water").check()
    assert page.locator(".w-in-water").first.is_visible()
    context.close()


@pytest.mark.parametrize("width", [360, 768])
@pytest.mark.parametrize("place", ["raleigh-nc", "miami-fl", "minneapolis-and-st-paul-mn"])
def test_no_word_runs_out_of_the_year(
    page: Page, site: str, place: str, width: int
) -> None:
    """Whatever is to be done to however many plants, each label lies on its drawing."""
    page.set_viewport_size({"width": width, "height": 740})
    page.goto(f"{site}season/{place}/")
    out = page.evaluate("""() => {
      const end = it => it.getBoundingClientRect().right;
      return [...document.querySelectorAll("main svg")]
        .filter(it => it.getBoundingClientRect().width)
        .flatMap(svg => [...svg.querySelectorAll("text")]
          .filter(it => end(it) > end(svg) + 1).map(it => it.textContent));
    }""")
    assert out == []


def test_an_older_browser_shows_every_warning(browser: Browser, toy_address: str) -> None:
    """One that knows no `:has` can't hide a step: it shows the warnings and no ticks."""
    context = browser.new_context(
        java_script_enabled=False, service_workers="block", bypass_csp=True
    )
    page = context.new_page()

    def older(route: Route) -> None:
        answer = route.fetch()
        route.fulfill(response=answer, body=answer.text().replace(":has(", ":knows-not("))

    page.route("**/causes/bell-moth/", older)
    page.goto(f"{toy_address}causes/bell-moth/")
    warnings = page.locator(".because")
    assert warnings.count() > 1
    assert all(it.is_visible() for it in warnings.all())
    assert not page.locator(".ticks").is_visible()
    context.close()


def test_search_opens_with_what_was_asked(page: Page, toy_address: str) -> None:
    """The plain search form of a cause page leads to the list, with results open."""
    page.goto(f"{toy_address}causes/bell-moth/")
    page.locator("#find").fill("slug")
    page.keyboard.press("Enter")
    page.wait_for_url("**/causes/?q=slug")
    page.locator(".md-search-result__item").first.wait_for()
    assert "Slime nibbler" in page.locator(".md-search-result__list").inner_text()


def test_the_back_button_goes_back(page: Page, toy_address: str) -> None:
    """Answers are plain navigation: Back returns to the question before."""
    open_at(page, f"{toy_address}mossbell/")
    page.locator('[data-say="holes"]').click()
    page.wait_for_url("**/mossbell/trace/#holes")
    page.go_back()
    assert page.url.endswith("/mossbell/")


def test_print_shows_the_slip_and_no_links(page: Page, toy_address: str) -> None:
    """Printed, a result has the slip for the clinic and not what only works on screen."""
    open_at(page, f"{toy_address}mossbell/result/bell-moth/")
    assert not page.locator(".slip dl").is_visible()
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert page.locator(".slip dl").is_visible()
    assert page.locator(".ladder").is_visible()
    assert not page.locator(".ticks").is_visible()
    assert not page.locator(".tools").is_visible()
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == (
        "rgb(255, 255, 255)"
    )


def open_at(page: Page, address: str) -> None:
    """Open a page afresh, also where only the part after the # differs."""
    page.goto("about:blank")
    page.goto(address)
    settled(page)


def settled(page: Page) -> None:
    """Wait until the page's own script, if it has one, shows what the address says."""
    page.wait_for_load_state("load")
    if page.locator('script[src*="walk.js"], script[src*="result.js"]').count():
        page.locator("html[data-shown]").wait_for(state="attached")


def letters(text: str) -> str:
    """A text without its white space, which differs between rows."""
    return "".join(text.split())


PRINTED = {"topics/photographs/": 1, "topics/cannas-in-winter/": 2, "nursery/": 2}


@pytest.mark.parametrize("address", PRINTED)
def test_a_topic_prints_for_the_shed_wall(page: Page, site: str, address: str) -> None:
    """The guide to photographs takes one sheet, longer advice two; each names its page."""
    page.goto(f"{site}{address}")
    for paper in ("Letter", "A4"):
        sheets = pypdfium2.PdfDocument(page.pdf(format=paper))
        assert len(sheets) <= PRINTED[address], paper
        words = "".join(sheet.get_textpage().get_text_range() for sheet in sheets)
        assert f"quillwater.example/{address}" in "".join(words.split())
        assert "Where this is from" not in words
