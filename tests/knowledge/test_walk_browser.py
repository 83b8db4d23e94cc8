"""Walks on the real site in a real browser: no answer is ever lost on the way."""

import random
from collections.abc import Iterator
from pathlib import Path

import pypdfium2
import pytest
from playwright.sync_api import Browser, Page, Route

from bedside.pages.frame.addresses import question_address, result_address
from bedside.pages.frame.desk import PlantDesk, Site
from bedside.pages.walk.result_pages import result_view
from bedside.reason import scale
from bedside.reason.evidence import Findings
from bedside.reason.findings import findings_of, format_fragment, makes_sense
from bedside.reason.next_look import next_look
from tests.browser import still
from tests.knowledge.told_findings import told_findings
from tests.odd_font import browser_with_odd_font

WALKS = 1_000
DRAWN = 50
MOST_WORDS = 350
MOST_SHEETS = 2
LETTER = "Quillwater Rhizomes sent you this link."
NEXT = """async (texts) => {
  const { nextLook } = await import("/assets/next_look.js");
  const { readSaid } = await import("/assets/said.js");
  const { table, tree } = await (await fetch("/assets/canna-walk.json")).json();
  return texts.map((text) => {
    const found = nextLook(table, tree, readSaid(table, text));
    return found ? found.question || found.sign : "";
  });
}"""


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A phone that keeps no copy of the site."""
    context = browser.new_context(
        viewport={"width": 360, "height": 640},
        service_workers="block",
        permissions=["clipboard-read", "clipboard-write"],
    )
    yield context.new_page()
    context.close()


def open_at(page: Page, address: str) -> None:
    """Open a page afresh, and wait until it shows what its address says."""
    page.goto("about:blank")
    page.goto(address)
    settled(page)


def settled(page: Page) -> None:
    page.locator("html[data-shown]").wait_for(state="attached")


def say(page: Page, answer: str) -> None:
    """Tap an answer, and wait for the page that comes with it."""
    page.locator(f'[data-say="{answer}"]').click()
    page.wait_for_url(lambda url: answer in said_in(url))


def said_in(url: str) -> list[str]:
    return url.partition("#")[2].partition("~")[0].split(".")


def shown_answers(page: Page) -> list[str]:
    """What the page says was told, folded or not."""
    settled(page)
    return [text.strip() for text in page.locator("#told li b").all_text_contents()]


def onward(desk: PlantDesk, findings: Findings) -> str:
    """Where somebody goes who has found this."""
    found = next_look(desk.evidence, desk.plant.tree, findings)
    if found is None:
        address = result_address(desk.plant)
    else:
        address = question_address(desk.plant, found.question or found.sign)
    text = format_fragment(findings)
    return f"{address}#{text}" if text else address


def told(desk: PlantDesk, *answers: str) -> Findings:
    return findings_of(desk.evidence, answers).findings


# Before the evidence is there, and without it.


@pytest.mark.parametrize("broken", ["walk.js", "canna-walk.json", "next_look.js"])
def test_answers_ride_along_without_the_evidence(
    page: Page, site: str, broken: str
) -> None:
    """Where a script or its data does not come, each answer still joins the address, and
    is shown as soon as the page has all it needs."""
    page.route(f"**/{broken}*", lambda route: route.abort())
    page.goto(f"{site}canna/")
    # Ways that the tree takes for several answers: its own links could not know which.
    answers = ["eaten", "animal-none", "ragged", "leaves-only", "slowly"]
    for answer in answers:
        say(page, answer)
    assert said_in(page.url) == answers
    assert "/canna/result/" in page.url
    assert page.locator(".now .do").inner_text()
    page.unroute_all()
    page.reload()
    settled(page)
    assert page.locator(".told li").count() == len(answers)


def test_answers_ride_along_while_the_script_is_on_its_way(page: Page, site: str) -> None:
    """A tap before the script has come loses nothing; the next page catches up."""
    held: list[Route] = []
    page.route("**/walk.js*", lambda route: held.append(route))
    page.goto(f"{site}canna/rolled-leaf/rolled/#cannas-only.rolled", wait_until="commit")
    page.locator('[data-say="whorl-shut"]').click()
    page.wait_for_url(
        "**/canna/roll-held/#cannas-only.rolled.whorl-shut", wait_until="commit"
    )
    page.locator("#told").wait_for(state="attached")
    held[-1].continue_()
    assert shown_answers(page) == [
        "Many cannas, no other kind",
        "Leaf rolled, folded or stuck shut",
        "Newest leaf, shut and upright at the top",
    ]


def test_without_signal_the_answers_stay_in_the_address(page: Page, site: str) -> None:
    """A result that can't be computed says so, keeps the answers, and tries again."""
    page.route("**/canna.json*", lambda route: route.abort())
    open_at(page, f"{site}canna/result/#rolled.whorl-shut.stitches")
    assert "Your answers are kept" in page.locator(".notes").inner_text()
    assert said_in(page.url) == ["rolled", "whorl-shut", "stitches"]
    page.unroute_all()
    page.reload()
    settled(page)
    assert "lesser canna leafroller" in page.locator("h1").inner_text()


def test_an_old_page_leads_on_though_its_link_was_the_trees(page: Page, site: str) -> None:
    """A link taken before the evidence was there may lead to a senseless question: with
    the evidence, that page goes on to the one that is worth asking."""
    page.route("**/walk.js*", lambda route: route.abort())
    page.goto(f"{site}canna/bite-kind/#eaten.animal-none")
    page.unroute_all()
    open_at(page, f"{site}canna/caterpillar/#eaten.animal-none")
    page.wait_for_url("**/canna/bite-kind/#eaten.animal-none")


# Taps, and ways back.


@pytest.mark.parametrize("broken", ["", "walk.js"])
def test_a_double_tap_answers_once(page: Page, site: str, broken: str) -> None:
    """Two quick taps on an answer lead to the next question, with one answer more."""
    if broken:
        page.route(f"**/{broken}*", lambda route: route.abort())
    page.goto(f"{site}canna/rolled-leaf/rolled/#cannas-only.rolled")
    if not broken:
        settled(page)
    page.locator('[data-say="whorl-shut"]').dblclick()
    page.wait_for_url("**/canna/roll-held/#cannas-only.rolled.whorl-shut")
    page.wait_for_load_state("networkidle")
    still(page)
    assert said_in(page.url) == ["cannas-only", "rolled", "whorl-shut"]


def test_back_and_forward_keep_the_answers(page: Page, site: str) -> None:
    """The browser's own buttons lead through the questions with all that was told, and
    another answer after Back takes the place of the first."""
    open_at(page, f"{site}canna/")
    for answer in ("rolled", "whorl-shut", "stitches"):
        say(page, answer)
        settled(page)
    page.go_back()
    page.go_back()
    assert page.url.endswith("/canna/rolled-leaf/rolled/#rolled")
    assert len(shown_answers(page)) == 1
    page.go_forward()
    assert page.url.endswith("/canna/roll-held/#rolled.whorl-shut")
    assert len(shown_answers(page)) == 2
    page.go_back()
    say(page, "edge-flap")
    assert said_in(page.url) == ["rolled", "edge-flap"]


def test_the_link_back_leads_to_the_question_before(page: Page, site: str) -> None:
    """Back opens the last question again, with what was told before it, up to the first."""
    open_at(page, f"{site}canna/result/#down.nothing-up")  # told in a letter
    open_at(page, f"{site}canna/dug/#down.nothing-up")
    page.locator("#back").click()
    page.wait_for_url("**/canna/shoot-root/#down")
    assert len(shown_answers(page)) == 1
    page.locator("#back").click()
    page.wait_for_url("**/canna/")
    settled(page)
    assert not page.locator("#back").is_visible()


def test_progress_counts_what_was_told(page: Page, site: str) -> None:
    """The first question has no number; each answer, told or skipped, counts."""
    open_at(page, f"{site}canna/")
    assert not page.locator("#number").is_visible()
    for place, answer in enumerate(("rolled", "whorl-shut", "roll-held"), 2):
        say(page, answer)
        settled(page)
        assert page.locator("#number").inner_text() == f"Question {place} of at most 7"
    assert shown_answers(page)[-1] == "I can’t tell"


def test_change_leads_straight_back_with_the_new_answer(page: Page, site: str) -> None:
    """After *change* nothing else is asked; place and season stay."""
    open_at(page, f"{site}canna/result/#rolled.whorl-shut.stitches~uk-ireland.summer")
    page.locator("summary", has=page.locator("#told")).click()
    page.locator("#result .told a").nth(2).click()
    page.wait_for_url("**/canna/roll-held/#rolled.whorl-shut~uk-ireland.summer.b")
    say(page, "slides-free")
    settled(page)
    assert page.url.endswith(
        "/canna/result/#rolled.whorl-shut.slides-free~uk-ireland.summer"
    )
    assert "normal new leaf" in page.locator("h1").inner_text()


def test_change_holds_while_the_script_is_missing(page: Page, site: str) -> None:
    """The mark that leads back rides along in the links of the tree as well."""
    page.route("**/walk.js*", lambda route: route.abort())
    page.goto(f"{site}canna/roll-held/#rolled.whorl-shut~uk-ireland.summer.b")
    page.locator('[data-say="slides-free"]').click()
    page.wait_for_url("**#rolled.whorl-shut.slides-free~uk-ireland.summer.b")


def test_the_skip_link_leaves_the_answers(page: Page, site: str) -> None:
    """By keyboard past the head of a page: the answers stay in its address."""
    for address in ("canna/rolled-leaf/rolled/#rolled", "canna/result/#rolled.whorl-shut"):
        open_at(page, site + address)
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        assert page.url == site + address
        assert page.evaluate("document.activeElement.id") == "main"
    open_at(page, f"{site}canna/rolled-leaf/rolled/#rolled")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    say(page, "whorl-shut")
    assert said_in(page.url) == ["rolled", "whorl-shut"]


# Any page, opened with findings.


def test_a_question_that_is_answered_goes_on(page: Page, site: str) -> None:
    """A page opened with its own answer makes way for the next, and Back is not caught."""
    open_at(page, f"{site}canna/")
    page.goto(f"{site}canna/rolled-leaf/rolled/#rolled.whorl-shut")
    page.wait_for_url("**/canna/roll-held/#rolled.whorl-shut")
    page.go_back()
    assert page.url == f"{site}canna/"


def test_any_question_goes_on_from_what_its_address_tells(
    page: Page, site: str, desk: PlantDesk
) -> None:
    """With findings from anywhere, each answer leads where all of them together lead."""
    draw = random.Random(6)
    for name, question in draw.sample(sorted(desk.plant.tree.questions.items()), 8):
        known = dict(desk.arrived[name].findings)
        free = [it for it in desk.evidence.signs if makes_sense(desk.evidence, known, it)]
        other = draw.choice([it for it in free if it != question.sign])
        findings = {other: draw.choice(desk.evidence.signs[other].answers), **known}
        here = question_address(desk.plant, name)
        page.goto("about:blank")
        page.goto(f"{site}{here}#{format_fragment(findings)}")
        if not makes_sense(desk.evidence, findings, question.sign):
            page.wait_for_url(site + onward(desk, findings))
            continue
        page.locator("[data-led]").first.wait_for(state="attached")
        for link in page.locator("[data-say]").all():
            answer = link.get_attribute("data-say")
            given = {**findings, question.sign: None if answer == question.sign else answer}
            href = link.evaluate("link => link.href")
            assert href == site + onward(desk, given), (name, findings)


def test_any_end_shows_the_result_of_what_its_address_tells(
    page: Page, site: str, made: Site, desk: PlantDesk
) -> None:
    """An end opened with findings, its own or others, shows the result for just these."""
    draw = random.Random(9)
    told_ones = [it for it in told_findings(desk.plant, desk.evidence) if it]
    for end in draw.sample(sorted(desk.plant.tree.ends), 6):
        findings = draw.choice(told_ones)
        address = result_address(desk.plant, end)
        open_at(page, f"{site}{address}#{format_fragment(findings)}")
        view = result_view(made, desk, findings)
        assert page.locator(".now .do").inner_text() == view.now.do, findings
        assert view.head.name.lower() in page.locator("h1").inner_text().lower()
        assert page.locator(".told li").count() == len(findings)


def test_what_came_in_a_box_is_one_tap_away(page: Page, site: str, desk: PlantDesk) -> None:
    """From a plant's first page, a root out of the box is asked about at once."""
    open_at(page, f"{site}canna/")
    page.get_by_role("link", name="It came in a box today").click()
    page.wait_for_url("**/canna/*/#**")
    sign = page.locator("#told").get_attribute("data-sign") or ""
    assert desk.plant.signs[sign].looked_at == "root"
    assert shown_answers(page)[0] == "Shoot limp, cut or missing, or bad root"


def test_a_thousand_walks_ask_what_python_asks(
    page: Page, site: str, desk: PlantDesk
) -> None:
    """From the first page, with answers drawn at random: the same page, at every step."""
    draw, pages = random.Random(20261128), dict[str, str]()
    longest = 0
    for _ in range(WALKS):
        findings: dict[str, str | None] = {}
        while found := next_look(desk.evidence, desk.plant.tree, findings):
            pages[format_fragment(findings)] = found.question or found.sign
            answers = (*desk.evidence.signs[found.sign].answers, None)
            findings[found.sign] = draw.choice(answers)
        pages[format_fragment(findings)] = ""
        longest = max(longest, len(findings))
    page.goto(f"{site}canna/")
    asked = page.evaluate(NEXT, list(pages))
    other = {
        text: (ours, theirs)
        for (text, ours), theirs in zip(pages.items(), asked, strict=True)
        if ours != theirs
    }
    assert not other
    assert longest <= scale.MOST_LOOKS
    assert len(pages) > 2 * WALKS


# What an address may hold, and what it may not say.

ZEBRAS = (
    "zebra",
    "Call-Zebra-now",
    "rolled.zebra-stripes.whorl-shut",
    "<img src=x onerror=zebra()>",
    "%3Cb%3Ezebra%3C/b%3E",
    "rolled~zebra.zebra",
    "rolled~uk-ireland.summer.zebra",
    "zebra%E0%A4%A",
    "zebra." * 600,
    "l~..zebra",
)


@pytest.mark.parametrize(
    "place", ["canna/", "canna/roll-held/", "canna/result/", "canna/result/slug-snail/"]
)
def test_no_word_of_an_address_is_shown(page: Page, site: str, place: str) -> None:
    """Whoever sends a link can't put a word on our page: not in its text nor its title."""
    dialogs: list[str] = []
    page.on("dialog", lambda dialog: dialogs.append(dialog.message))
    for text in ZEBRAS:
        open_at(page, f"{site}{place}#{text}")
        page.locator("h1").wait_for()
        seen = (page.text_content("body") or "") + page.title()
        assert "zebra" not in seen.lower(), text
        assert page.locator("img, b:has-text('zebra')").count() == 0
    assert not dialogs


def test_a_link_of_the_nurserys_says_who_sent_it(page: Page, site: str) -> None:
    """The mark behind a mailed link says so on the page; without it nothing is claimed."""
    open_at(page, f"{site}canna/result/#rolled.whorl-shut.stitches~..l")
    assert LETTER in page.locator(".sent").inner_text()
    open_at(page, f"{site}canna/result/#rolled.whorl-shut.stitches~uk-ireland.summer.l")
    assert LETTER in page.locator(".sent").inner_text()
    open_at(page, f"{site}canna/result/#rolled.whorl-shut.stitches")
    assert page.locator(".sent").count() == 0


# What a result is for: to be read, copied, printed.


def test_a_result_can_be_copied_and_printed(page: Page, site: str) -> None:
    """Copy gives the address with the answers, also after a step inside the page; Print
    prints."""
    page.add_init_script("window.printed = 0; window.print = () => { window.printed += 1 }")
    address = f"{site}canna/result/#rolled.whorl-shut.stitches.worm-seen"
    open_at(page, address)
    page.locator("summary", has=page.locator("#plan")).click()
    page.get_by_role("link", name="First check this").first.click()
    assert page.evaluate("document.activeElement.id") == "check"
    page.get_by_role("button", name="Copy the link").click()
    page.locator("#copied:has-text('Copied')").wait_for()
    assert page.evaluate("navigator.clipboard.readText()") == address
    page.get_by_role("button", name="Print").click()
    assert page.evaluate("window.printed") == 1


PRINTED = (
    "rolled.whorl-shut.stitches.worm-seen.pellets-in",
    "marked.streaks.stripes-mess",
    "eaten",
    "down.root-odd.root-soft.too-damp.soil-soggy",
)


def test_a_printed_result_fits_two_sheets_in_any_font(
    browser: Browser, site: str, tmp_path: Path
) -> None:
    """Also where the only font is larger and as wide as a typewriter's."""
    with browser_with_odd_font(browser, tmp_path) as odd:
        page = odd.new_page(service_workers="block")
        for text in PRINTED:
            open_at(page, f"{site}canna/result/#{text}")
            for paper in ("Letter", "A4"):
                sheets = pypdfium2.PdfDocument(page.pdf(format=paper))
                assert len(sheets) <= MOST_SHEETS, (text, paper)
                sheets.close()


@pytest.mark.parametrize("text", PRINTED)
def test_a_printed_result_fits_two_sheets(page: Page, site: str, text: str) -> None:
    """On paper: at most two sheets, with the address that holds the answers."""
    open_at(page, f"{site}canna/result/#{text}")
    paper = pypdfium2.PdfDocument(page.pdf(format="Letter"))
    assert len(paper) <= MOST_SHEETS
    words = "".join(sheet.get_textpage().get_text_range() for sheet in paper)
    # What is broken at a hyphen has another character there.
    words = "".join(words.replace("\ufffe", "-").split())
    assert f"quillwater.example/canna/result/#{text}" in words


def test_a_result_is_short(page: Page, site: str, desk: PlantDesk) -> None:
    """As it opens, a result has at most 350 words."""
    draw = random.Random(50)
    drawn = draw.sample(
        [it for it in told_findings(desk.plant, desk.evidence) if it], DRAWN
    )
    open_at(page, f"{site}canna/result/#rolled")
    counts = {}
    for text in map(format_fragment, drawn):
        page.evaluate("(text) => { location.hash = text }", text)
        page.locator(f'html[data-shown="#{text}"]').wait_for(state="attached")
        counts[text] = len(page.locator("main").inner_text().split())
    assert not {text: count for text, count in counts.items() if count > MOST_WORDS}


@pytest.mark.parametrize("place", ["canna/result/", "describe/canna/"])
def test_without_scripts_there_are_other_ways(
    browser: Browser, site: str, place: str
) -> None:
    """What needs a script says so, and offers the questions and the list of causes."""
    page = browser.new_page(java_script_enabled=False)
    page.goto(f"{site}{place}#rolled.whorl-shut")
    assert "needs scripts" in page.locator("main").inner_text()
    links = [it for it in page.locator("a[href]").all() if it.is_visible()]
    led = {it.evaluate("link => link.href") for it in links}
    assert {f"{site}causes/"} <= led
    assert {site, f"{site}canna/"} & led
    page.close()
