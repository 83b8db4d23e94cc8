"""The page "Answer a letter" and "Tell us in your own words", in a real browser."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.browser import still

LETTER = (
    "My cannas won't open, they're sewn shut with thread. I unrolled one: small pale worms "
    "and black pepper. Tulsa, Oklahoma, July. What do I spray?"
)
LINK = re.compile(r'href="(?:\.\./)*letters/')
HOSTILE = "<img src=x onerror=window.hurt=1><script>window.hurt=1</script> leaves sewn shut"


@pytest.fixture
def page(browser: Browser, site: str) -> Iterator[Page]:
    """The page for the grower, ready to read."""
    opened = browser.new_page()
    opened.goto(f"{site}letters/")
    opened.locator("#ready:not(:empty)").wait_for()
    yield opened
    opened.close()


def test_from_paste_to_reply(page: Page) -> None:
    """A pasted letter gives marked words, findings, causes, a question and a reply."""
    page.fill("#letter", LETTER)
    reply = page.input_value("#reply")
    assert "canna leafroller" in reply
    assert "To do today" in reply
    assert "/canna/result/#" in reply
    assert page.locator("#marked mark").count() >= 2
    assert page.locator("#findings input[type=checkbox]").count() >= 3
    assert page.locator("#causes li").count() == 5
    assert (page.get_attribute("#mail", "href") or "").startswith("mailto:?subject=")


def test_a_finding_can_be_switched_off_changed_and_added(page: Page) -> None:
    """The grower has the last word on what was understood."""
    page.fill("#letter", LETTER)
    before = page.input_value("#reply")
    for box in page.locator("#findings input[type=checkbox]").all():
        page.uncheck(f"#{box.get_attribute('id')}")
    assert page.input_value("#reply") != before
    assert "I can't tell yet" in page.input_value("#reply")
    chosen = page.locator("#answers option[data-id=orange-dust]").get_attribute("value")
    assert chosen
    page.fill("#add", chosen)
    page.press("#add", "Tab")
    assert "orange-dust" in page.input_value("#reply")


def test_by_keyboard_from_paste_to_copy(browser: Browser, site: str) -> None:
    """The letter has the focus, and Ctrl with Enter copies the reply."""
    context = browser.new_context(permissions=["clipboard-read", "clipboard-write"])
    page = context.new_page()
    page.goto(f"{site}letters/")
    page.locator("#ready:not(:empty)").wait_for()
    assert page.evaluate("document.activeElement.id") == "letter"
    page.keyboard.insert_text(LETTER)
    page.keyboard.press("Control+Enter")
    page.locator("#done:not(:empty)").wait_for()
    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied.replace("\r\n", "\n") == page.input_value("#reply")
    context.close()


def test_nothing_leaves_the_computer(page: Page) -> None:
    """No request is made, and nothing is stored, while a letter is read."""
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.fill("#letter", LETTER)
    assert page.input_value("#reply")
    still(page)
    assert not asked
    assert page.evaluate("localStorage.length + sessionStorage.length") == 0
    assert page.evaluate("document.cookie") == ""


def test_nothing_in_a_letter_runs(page: Page) -> None:
    """Markup in a letter is shown as text."""
    page.fill("#letter", HOSTILE)
    still(page)
    assert page.locator("#marked img, #marked script").count() == 0
    assert page.evaluate("window.hurt") is None
    assert page.inner_text("#marked") == HOSTILE


def test_danger_stands_first(page: Page) -> None:
    """The emergency comes before the reply, with a number to call."""
    page.fill("#letter", "My dog ate the slug bait under the cannas and is shaking.")
    assert page.is_visible("#danger")
    assert "1-888-426-4435" in page.inner_text("#danger")
    top = "id => document.getElementById(id).getBoundingClientRect().top"
    assert page.evaluate(top, "danger") < page.evaluate(top, "reply")


def test_a_phrase_can_be_taken_home(browser: Browser, site: str) -> None:
    """Words it did not understand are copied as YAML for the answer they mean."""
    context = browser.new_context(permissions=["clipboard-read", "clipboard-write"])
    page = context.new_page()
    page.goto(f"{site}letters/")
    page.locator("#ready:not(:empty)").wait_for()
    page.fill("#letter", "They look like burnt toast soldiers.")
    page.fill("#phrase", "burnt toast soldiers")
    page.select_option("#means", "dry-edges")
    page.click("#teach button")
    page.locator("#done:not(:empty)").wait_for()
    copied = page.evaluate("navigator.clipboard.readText()")
    assert "signs/colour-kind.yaml" in copied
    assert 'words: ["burnt toast soldiers"]' in copied
    context.close()


@pytest.mark.parametrize("width", [360, 768, 1280])
def test_it_fits_every_screen(browser: Browser, site: str, width: int) -> None:
    """Nothing sticks out to the side."""
    page = browser.new_page(viewport={"width": width, "height": 800})
    for address in ("letters/", "describe/"):
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


def test_a_gardener_can_use_own_words(browser: Browser, site: str) -> None:
    """The reader is fetched when it is asked for, and leads to a result."""
    page = browser.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(f"{site}describe/")
    assert not any("letters-canna.json" in it for it in asked)
    page.fill("#letter", LETTER)
    page.click("#tell button")
    page.wait_for_selector("#heard .btn")
    assert "leafroller" in page.inner_text("#heard")
    page.click("#heard .btn")
    page.wait_for_url("**/canna/result/#*")
    page.close()
