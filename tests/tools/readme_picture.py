"""Make the README's picture again: a question beside a result, as a phone shows them.

    python -m tests.tools.readme_picture

Builds the site, opens both pages in a browser and writes site_src/readme.png.
"""

from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image
from playwright.sync_api import Browser, ViewportSize, sync_playwright

from bedside.problems import ERROR, render
from bedside.publish.whole_site import build_site
from tests.browser import served, start_browser
from tests.shipped import PLANT

ROOT = Path(__file__).parents[2]
OUT = ROOT / "site_src" / "readme.png"
QUESTION, ANSWER = f"{PLANT}/", "rolled"  # the picture shows what is asked next
RESULT = f"{PLANT}/result/#rolled.whorl-shut.stitches.pellets-in"
PHONE: ViewportSize = {"width": 360, "height": 640}
DOTS = 2
GAP = 32
FRAME = "#8A9189"
COLOURS = 64


def shown(browser: Browser, address: str, answer: str = "") -> Image.Image:
    """One page on a phone, or the one after an answer, once its script has run."""
    page = browser.new_page(viewport=PHONE, device_scale_factor=DOTS, color_scheme="light")
    page.goto(address)
    if answer:
        page.locator(f'[data-say="{answer}"]').click()
        page.wait_for_url(f"**#{answer}")
    page.locator("html[data-shown]").wait_for(state="attached")
    picture = Image.open(BytesIO(page.screenshot())).convert("RGB")
    page.close()
    return picture


def side_by_side(pictures: list[Image.Image]) -> Image.Image:
    """Pictures of one height in a row, each in a thin frame."""
    width = sum(each.width for each in pictures) + GAP * (len(pictures) + 1)
    sheet = Image.new("RGB", (width, pictures[0].height + 2 * GAP), "white")
    left = GAP
    for each in pictures:
        sheet.paste(
            FRAME, (left - 2, GAP - 2, left + each.width + 2, GAP + each.height + 2)
        )
        sheet.paste(each, (left, GAP))
        left += each.width + GAP
    return sheet


def main() -> None:
    """Build, look and write; few colours are enough for ink on paper."""
    with TemporaryDirectory() as folder:
        problems = build_site(ROOT, Path(folder) / "site")
        assert not [each for each in problems if each.level == ERROR], render(problems)
        with served(Path(folder) / "site") as address, sync_playwright() as playwright:
            browser = start_browser(playwright)
            pictures = [
                shown(browser, address + QUESTION, ANSWER),
                shown(browser, address + RESULT),
            ]
            browser.close()
    side_by_side(pictures).quantize(COLOURS).save(OUT, optimize=True)


if __name__ == "__main__":
    main()
