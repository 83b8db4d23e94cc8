"""The page "Answer a letter" and "Tell us in your own words", in a real browser."""

import re
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page

from bedside.measure.letters_tally import read_rows
from tests.browser import still
from tests.knowledge.letters_read import known_causes
from tests.knowledge.test_pages_browser import FOUND, RULES, RULES_OF_COLOURS
from tests.shipped import PLANTS

LETTER = (
    "My cannas won't open, they're sewn shut with thread. I unrolled one: small pale worms "
    "and black pepper. Tulsa, Oklahoma, July. What do I spray?"
)
POISONED = "My dog ate the slug bait under the cannas and is shaking."
LINK = re.compile(r'href="(?:\.\./)*letters/')
HOSTILE = "<img src=x onerror=window.hurt=1><script>window.hurt=1</script> leaves sewn shut"
HEADED = "From: June Harlow <june@harlow.example>\nSubject: My cannas\n\n" + LETTER
CHIPS = "#findings select"
SEEN = """id => { const it = document.getElementById(id).getBoundingClientRect();
  return it.top >= 0 && it.bottom <= innerHeight && it.width > 0 }"""
SMALL = """() => ['button', 'select', 'input', 'textarea', 'a', 'summary']
  .flatMap(it => [...document.querySelectorAll(`main ${it}`)])
  .filter(it => it.checkVisibility())
  .filter(it => { const { width, height } = it.getBoundingClientRect();
    return width < 24 || height < 24 })
  .map(it => it.outerHTML.slice(0, 90))"""


@pytest.fixture
def desk(browser: Browser) -> Iterator[BrowserContext]:
    """A wide screen that may use the clipboard."""
    context = browser.new_context(
        permissions=["clipboard-read", "clipboard-write"],
        viewport={"width": 1440, "height": 900},
    )
    yield context
    context.close()


@pytest.fixture
def page(desk: BrowserContext, site: str) -> Iterator[Page]:
    """The page for the grower, ready to read; whatever it does, no script may fail."""
    opened = desk.new_page()
    faults: list[str] = []
    opened.on("pageerror", lambda error: faults.append(str(error)))
    opened.on("console", lambda m: faults.append(m.text) if m.type == "error" else None)
    ready(opened, site)
    yield opened
    assert not faults


def ready(page: Page, site: str) -> None:
    page.goto(f"{site}letters/")
    page.locator("#ready:not(:empty)").wait_for()


def reply(page: Page) -> str:
    return page.input_value("#reply")


def focused(page: Page) -> str:
    return str(page.evaluate("document.activeElement.id"))


def add(page: Page, box: str, words: str) -> None:
    """Type a few letters of any word, and take the first line with Enter."""
    page.fill(box, words)
    page.press(box, "Enter")


def test_from_paste_to_reply(page: Page) -> None:
    """A pasted letter gives marked words, findings, causes, a question and a reply."""
    page.fill("#letter", LETTER)
    assert "canna leafroller" in reply(page)
    assert "What to do:" in reply(page)
    assert "/canna/result/#" in reply(page)
    assert page.locator("#marked mark").count() >= 2
    assert page.locator(CHIPS).count() >= 3
    assert page.locator("#causes li").count() == 5
    assert page.input_value("#kind") == "trouble"
    assert page.input_value("#state") == "OK"
    assert page.input_value("#month") == "7"


def test_letter_reply_and_copy_are_in_sight_at_once(page: Page, site: str) -> None:
    """On a wide screen nothing needs to be scrolled from the letter to the word that it is
    copied, also where a danger stands above; a narrower one has one column."""
    for text in (LETTER, POISONED):
        page.fill("#letter", text)
        page.click("#copy")
        page.locator("#done:not(:empty)").wait_for()
        for id_ in ("letter", "reply", "copy", "done"):
            assert page.evaluate(SEEN, id_), (id_, text)
    left = "id => document.getElementById(id).getBoundingClientRect().left"
    assert page.evaluate(left, "reply") > page.evaluate(left, "letter")
    page.set_viewport_size({"width": 768, "height": 1000})
    assert page.evaluate(left, "reply") == page.evaluate(left, "letter")


def test_the_box_and_its_marks_stand_line_on_line(page: Page) -> None:
    """The marks lie behind the words they mean: both layers break and scroll alike."""
    page.fill("#letter", f"{LETTER}\n\n" * 12)
    sizes = "e => [e.clientWidth, e.scrollHeight]"
    box, marked = page.locator("#letter"), page.locator("#marked")
    assert box.evaluate(sizes) == marked.evaluate(sizes)
    page.evaluate("document.getElementById('letter').scrollTop = 200")
    still(page)
    assert marked.evaluate("e => e.scrollTop") == 200


def test_a_finding_can_be_dropped_changed_and_added(page: Page) -> None:
    """The grower has the last word on what was understood."""
    page.fill("#letter", LETTER)
    before = reply(page)
    while page.locator("#findings .drop").count():
        page.locator("#findings .drop").first.click()
    assert reply(page) != before
    assert "/canna/result/#" not in reply(page)
    add(page, "#add", "rusty")
    assert focused(page) == "add"
    assert "orange-dust" in reply(page)
    assert page.input_value("#is-wipe") == "orange-dust"
    page.focus("#is-wipe")
    page.select_option("#is-wipe", "sticky")
    assert "orange-dust" not in reply(page)
    assert focused(page) == "is-wipe"


def test_a_chip_shows_its_words_in_the_letter(page: Page) -> None:
    """The pointer or the focus on a finding lifts its words out, and says its question."""
    page.fill("#letter", LETTER)
    chip = page.locator("#findings li[data-of=roll-held]")
    chip.hover()
    lifted = page.locator("#marked mark.on").all_inner_texts()
    assert lifted
    assert all(it in LETTER for it in lifted)
    assert len(lifted) < page.locator("#marked mark").count()
    says = page.inner_text("#about")
    assert says.startswith("What holds the rolled leaf shut?")
    assert lifted[0] in says
    page.hover("h1")
    assert page.locator("#marked mark.on").count() == 0
    chip.locator("select").focus()
    assert page.locator("#marked mark.on").all_inner_texts() == lifted


def test_what_the_words_lead_to_can_be_dropped(page: Page) -> None:
    """The words of the letter beside its findings are a chip like the others."""
    page.fill("#letter", LETTER)
    tenths = re.compile(r"#\S+~\S+\.l\.\d")
    assert tenths.search(reply(page))
    page.locator("#findings li", has_text="from the words").locator(".drop").click()
    assert not tenths.search(reply(page))


def test_what_was_asked_can_be_dropped_and_added(page: Page) -> None:
    """The reply answers what the grower says was asked."""
    page.fill("#letter", LETTER)
    asked = page.locator("#asks li", has_text="What can I spray")
    assert "label" in reply(page)
    asked.locator(".drop").click()
    assert asked.count() == 0
    without = reply(page)
    add(page, "#ask-more", "spray or put")
    assert asked.count() == 1
    assert reply(page) != without


def test_kind_plant_month_and_state_can_be_set(page: Page) -> None:
    """Place and month weigh the letter again; kind and plant write another reply."""
    page.fill("#letter", LETTER)
    page.select_option("#state", "OR")
    assert "northwest" in (page.get_attribute("#link", "href") or "")
    page.select_option("#month", "0")
    assert "summer" not in (page.get_attribute("#link", "href") or "")
    page.select_option("#state", "")
    assert "northwest" not in (page.get_attribute("#link", "href") or "")
    trouble = reply(page)
    page.select_option("#kind", "thanks")
    assert "how it went" in reply(page) or "spray" in reply(page)
    assert "What to do:" not in reply(page)
    page.select_option("#kind", "trouble")
    assert reply(page) == trouble
    page.select_option("#plant", "hosta")
    assert page.input_value("#kind") == "other-plant"
    assert "a hosta" in reply(page)
    page.select_option("#plant", "")
    assert reply(page) == trouble


def test_a_danger_can_be_switched_off_and_set(page: Page) -> None:
    """One that was read in error goes, one that was missed is set; the reply follows."""
    page.fill("#letter", POISONED)
    assert "1-888-426-4435" in reply(page)
    assert page.input_value("#kind") == "danger"
    while page.locator("#dangers .drop").count():
        page.locator("#dangers .drop").first.click()
    assert page.locator("#danger").is_hidden()
    assert "1-888-426-4435" not in reply(page)
    page.fill("#letter", f"{LETTER} Something got in his eyes.")
    page.click("#anew")
    while page.locator("#dangers .drop").count():
        page.locator("#dangers .drop").first.click()
    add(page, "#danger-more", "in the eyes")
    assert page.is_visible("#danger")
    assert "1-800-222-1222" in page.inner_text("#danger-call")
    assert "1-800-222-1222" in reply(page)
    assert page.input_value("#kind") == "danger"
    page.select_option("#kind", "trouble")
    assert page.locator("#danger").is_hidden()
    assert "What to do:" in reply(page)


def test_her_own_words_are_never_overwritten(page: Page) -> None:
    """Once she typed, a reply that changed is offered: she takes it, or keeps hers."""
    page.fill("#letter", LETTER)
    page.fill("#reply", "Dear June, I know this one.")
    page.locator("#findings .drop").first.click()
    assert reply(page) == "Dear June, I know this one."
    page.click("#keep")
    assert page.locator("#changed button").count() == 0
    assert reply(page) == "Dear June, I know this one."
    add(page, "#add", "rusty")
    assert reply(page) == "Dear June, I know this one."
    page.click("#take")
    assert "orange-dust" in reply(page)
    assert page.locator("#changed button").count() == 0


def test_an_offer_goes_when_nothing_has_changed_after_all(page: Page) -> None:
    """A correction that is taken back leaves nothing to choose."""
    page.fill("#letter", LETTER)
    page.fill("#reply", "Mine.")
    page.select_option("#kind", "care")
    assert page.locator("#changed button").count() == 2
    page.select_option("#kind", "trouble")
    assert page.locator("#changed button").count() == 0
    assert reply(page) == "Mine."


def test_a_blank_erases_no_correction(page: Page) -> None:
    """Blanks and added words keep what she corrected, until she starts anew."""
    page.fill("#letter", LETTER)
    page.locator("#findings li[data-of=roll-held] .drop").click()
    add(page, "#add", "rusty")
    page.fill("#letter", f"\n  {LETTER} ")
    assert page.locator("#findings li[data-of=roll-held]").count() == 0
    assert page.input_value("#is-wipe") == "orange-dust"
    page.locator("#findings li[data-of=animal]").hover()
    lifted = "".join(page.locator("#marked mark.on").all_inner_texts())
    page.fill("#letter", f"{LETTER} It began on Monday.")
    assert page.locator("#findings li[data-of=roll-held]").count() == 0
    page.locator("#findings li[data-of=animal]").hover()
    assert "".join(page.locator("#marked mark.on").all_inner_texts()) == lifted
    page.click("#anew")
    assert page.locator("#findings li[data-of=roll-held]").count() == 1
    assert page.locator("#is-wipe").count() == 0


def test_by_keyboard_from_paste_to_the_next_letter(page: Page) -> None:
    """The letter has the focus, Ctrl with Enter copies, Alt with N opens the next."""
    assert focused(page) == "letter"
    page.keyboard.insert_text(LETTER)
    page.keyboard.press("Control+Enter")
    page.locator("#done:not(:empty)").wait_for()
    first = reply(page)
    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied.replace("\r\n", "\n") == first
    assert page.locator("[role=tab] .copied").count() == 1
    page.keyboard.insert_text(" They are in a pot.")
    page.locator("#findings .drop").first.click()
    assert page.inner_text("#done") == ""  # what is copied is no longer what is written
    assert page.locator("[role=tab] .copied").count() == 0
    page.keyboard.press("Alt+n")
    assert focused(page) == "letter"
    assert page.input_value("#letter") == ""
    assert reply(page) == ""
    page.keyboard.insert_text(POISONED)
    page.keyboard.press("Control+Enter")
    page.locator("#done:not(:empty)").wait_for()
    assert "1-888-426-4435" in page.evaluate("navigator.clipboard.readText()")
    assert page.get_by_role("tab").count() == 3  # both, and the one that waits


def test_letters_are_tabs_of_one_sitting(page: Page) -> None:
    """Arrows go from letter to letter, and each keeps its corrections and its reply."""
    page.keyboard.insert_text(LETTER)
    page.locator("#findings li[data-of=roll-held] .drop").click()
    page.fill("#reply", "Mine.")
    page.keyboard.press("Alt+n")
    page.keyboard.insert_text(POISONED)
    tabs = page.get_by_role("tab")
    tabs.nth(1).focus()
    page.keyboard.press("ArrowLeft")
    assert tabs.nth(0).get_attribute("aria-selected") == "true"
    assert focused(page) == "tab-1"
    assert page.input_value("#letter") == LETTER
    assert reply(page) == "Mine."
    assert page.locator("#findings li[data-of=roll-held]").count() == 0
    page.keyboard.press("End")
    assert page.input_value("#letter") == ""
    page.keyboard.press("ArrowRight")
    assert tabs.nth(0).get_attribute("aria-selected") == "true"
    assert page.locator("[role=tab][tabindex='0']").count() == 1


def test_a_letter_pasted_over_another_is_the_next_one(page: Page) -> None:
    """Marking all and pasting loses neither the first letter nor what was done for it."""
    page.keyboard.insert_text(LETTER)
    page.fill("#reply", "Mine.")
    page.evaluate("text => navigator.clipboard.writeText(text)", POISONED)
    page.focus("#letter")
    page.keyboard.press("Control+a")
    page.keyboard.press("Control+v")
    page.get_by_role("tab").nth(2).wait_for()
    assert page.input_value("#letter") == POISONED
    page.get_by_role("tab").first.click()
    assert page.input_value("#letter") == LETTER
    assert reply(page) == "Mine."


def test_the_mail_goes_to_whom_the_letter_came_from(page: Page) -> None:
    """The head of a letter names recipient and subject; without it the plant is named."""
    page.fill("#letter", HEADED)
    address = page.get_attribute("#mail", "href") or ""
    assert address.startswith(
        "mailto:june%40harlow.example?subject=Re%3A%20My%20cannas&body="
    )
    body = unquote(address.split("&body=")[1])
    assert body == reply(page).replace("\n", "\r\n")
    page.fill("#letter", LETTER)
    address = page.get_attribute("#mail", "href") or ""
    assert address.startswith("mailto:?subject=Your%20canna&body=")
    page.fill("#letter", "Subject: a?cc=eve@x.example&bcc=eve@x.example\n\n" + LETTER)
    assert (page.get_attribute("#mail", "href") or "").count("&") == 1


def test_the_tally_holds_no_word_of_a_letter(page: Page, tmp_path: Path) -> None:
    """What the page saves, `bedside tally` reads: one row a letter."""
    page.keyboard.insert_text(HEADED)
    page.select_option("#was", "yes")
    page.keyboard.press("Alt+n")
    page.keyboard.insert_text(LETTER)
    page.select_option("#was", "canna-rust")
    page.keyboard.press("Alt+n")
    page.keyboard.insert_text(POISONED)
    assert "3 letters, 2 with what it was" in page.inner_text("#sitting")
    with page.expect_download() as saved:
        page.click("#csv")
    assert re.fullmatch(r"letters-\d{4}-\d\d-\d\d\.csv", saved.value.suggested_filename)
    content = saved.value.path().read_bytes()
    rows, problems = read_rows("t.csv", content, {"canna": tuple(known_causes())})
    assert not problems
    assert [(it.kind, it.place, it.month, it.confirmed, it.was) for it in rows] == [
        ("trouble", "OK", 7, "yes", ""),
        ("trouble", "OK", 7, "no", "canna-rust"),
        ("danger", "", None, "", ""),
    ]
    assert rows[0].truth == "lesser-leafroller"
    for word in (b"sewn", b"june", b"Tulsa", b"bait"):
        assert word not in content.lower()


def test_paper_shows_letter_and_reply_alone(page: Page) -> None:
    """None of the page's controls is printed, and all of both texts is."""
    page.fill("#letter", f"{LETTER}\n" * 30 + "last line")
    page.emulate_media(media="print")
    assert page.locator("#marked").is_visible()
    assert page.locator("#reply-print").is_visible()
    assert page.inner_text("#reply-print").strip() == reply(page).strip()
    controls = page.locator("button, select, input, textarea, [role=tab], nav a")
    assert not [it for it in controls.all() if it.is_visible()]
    whole = "e => e.scrollHeight <= e.clientHeight + 1"
    assert page.locator("#marked").evaluate(whole)


def test_nothing_leaves_the_computer(page: Page) -> None:
    """No request is made, and nothing is stored, while letters are read."""
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.fill("#letter", LETTER)
    page.keyboard.press("Alt+n")
    page.fill("#letter", POISONED)
    assert reply(page)
    still(page)
    assert not asked
    assert page.evaluate("localStorage.length + sessionStorage.length") == 0
    assert page.evaluate("document.cookie") == ""
    page.reload()
    page.locator("#ready:not(:empty)").wait_for()
    assert page.input_value("#letter") == ""
    assert page.get_by_role("tab").count() == 1


def test_nothing_in_a_letter_runs(page: Page) -> None:
    """Markup in a letter is shown as text, in the letter and on its tab."""
    page.fill("#letter", f"Subject: {HOSTILE}\n\n{HOSTILE}")
    still(page)
    assert page.locator("main img, main script").count() == 0
    assert page.evaluate("window.hurt") is None
    marked = page.locator("#marked").evaluate("e => e.textContent")
    assert marked.count(HOSTILE) == 2


def test_danger_stands_first(page: Page) -> None:
    """The emergency comes before the reply, with a number to call."""
    page.fill("#letter", POISONED)
    assert page.is_visible("#danger")
    assert "1-888-426-4435" in page.inner_text("#danger")
    top = "id => document.getElementById(id).getBoundingClientRect().top"
    assert page.evaluate(top, "danger") < page.evaluate(top, "reply")


def test_a_phrase_can_be_taken_home(page: Page) -> None:
    """Words it did not understand are copied as YAML for the answer they mean."""
    page.fill("#letter", "They look like burnt toast soldiers.")
    page.evaluate("document.getElementById('letter').setSelectionRange(15, 35)")
    still(page)
    assert page.input_value("#phrase") == "burnt toast soldiers"
    page.click("#teach-fold summary")
    page.select_option("#means", "dry-edges")
    page.click("#teach button")
    page.locator("#taught:not(:empty)").wait_for()
    copied = page.evaluate("navigator.clipboard.readText()")
    assert "signs/colour-kind.yaml" in copied
    assert 'words: ["burnt toast soldiers"]' in copied


@pytest.mark.parametrize("width", [360, 1440])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_rule_of_accessibility_is_broken(page: Page, width: int, scheme: str) -> None:
    """axe finds nothing with a letter, with a danger and an offer, and with a list open."""
    page.set_viewport_size({"width": width, "height": 900})
    page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    rules = RULES if scheme == "light" else RULES_OF_COLOURS

    def faults() -> list[tuple[str, list[str]]]:
        found = Axe().run(page, options={**rules, **FOUND}).response["violations"]
        return [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found]

    assert not faults()
    page.fill("#letter", LETTER)
    page.locator("#findings select").first.hover()
    page.fill("#add", "orange")
    assert not faults()
    assert page.evaluate(SMALL) == []
    page.keyboard.press("Alt+n")
    page.fill("#letter", POISONED)
    page.fill("#reply", "Mine.")
    page.locator("#dangers .drop").first.click()
    add(page, "#danger-more", "eyes")
    assert not faults()


@pytest.mark.parametrize("width", [360, 768, 1280])
def test_it_fits_every_screen(browser: Browser, site: str, width: int) -> None:
    """Nothing sticks out to the side."""
    page = browser.new_page(viewport={"width": width, "height": 800})
    for address in ("letters/", "describe/canna/"):
        page.goto(site + address)
        if address == "letters/":
            page.locator("#ready:not(:empty)").wait_for()
        page.fill("#letter", LETTER)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.close()


def test_gardeners_do_not_meet_the_growers_page(site_folder: Path) -> None:
    """No other page links to it, search engines are told to pass it by."""
    own = site_folder / "letters" / "index.html"
    assert '<meta name="robots" content="noindex">' in own.read_text(encoding="utf-8")
    for file in site_folder.rglob("*.html"):
        if file != own:
            assert not LINK.search(file.read_text(encoding="utf-8")), file
    for index in site_folder.rglob("search_index.json"):
        assert '"letters/' not in index.read_text(encoding="utf-8")


@pytest.mark.parametrize("plant", PLANTS)
def test_the_first_question_leads_beside_the_questions(
    site_folder: Path, plant: str
) -> None:
    """Who has no trouble, or would rather tell it, need not walk; later pages are bare."""
    first = (site_folder / plant / "index.html").read_text(encoding="utf-8")
    assert f'href="../describe/{plant}/"' in first
    assert "Nothing wrong?" in first
    assert 'href="../topics/"' in first
    for other in (site_folder / plant).glob("*/index.html"):
        assert "Nothing wrong?" not in other.read_text(encoding="utf-8"), other


def test_own_words_that_ask_are_answered(browser: Browser, site: str) -> None:
    """Who asks beside the cause is answered there, and led to the page that tells more."""
    page = browser.new_page()
    page.goto(f"{site}canna/")
    page.click("text=Or tell us in your own words")
    page.fill("#letter", "How deep do I plant my cannas? Do I dig them up for the winter?")
    page.click("#tell button")
    page.wait_for_selector("#heard .rows a")
    assert "two to three inches" in page.inner_text("#heard")
    ways = page.locator("#heard .rows a").evaluate_all("all => all.map(it => it.pathname)")
    assert ways == ["/topics/planting-cannas/", "/topics/cannas-in-winter/"]
    page.click("#heard .rows a >> nth=0")
    page.wait_for_url("**/topics/planting-cannas/")
    page.close()


def test_a_gardener_can_use_own_words(browser: Browser, site: str) -> None:
    """The reader is fetched when it is asked for, and leads to a result."""
    page = browser.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(f"{site}describe/canna/")
    assert not any("letters-canna.json" in it for it in asked)
    page.fill("#letter", LETTER)
    page.click("#tell button")
    page.wait_for_selector("#heard .btn")
    assert "leafroller" in page.inner_text("#heard")
    page.click("#heard .btn")
    page.wait_for_url("**/canna/result/#*")
    page.close()
