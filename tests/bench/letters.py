"""How long a letter takes, and how heavy the reader is.

python -m tests.bench.letters

Milliseconds are of this machine and only printed. What is held to are two ratios of the
same run: a megabyte against the piece of it that is read, and a dozen letters in one
against the dozen one by one.
"""

import gzip
import json
import statistics
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from bedside.publish.whole_site import build_site
from tests.browser import ROOT, served, start_browser
from tests.knowledge.letters_read import development, invented, reader_page
from tests.shipped import PLANT

FILES = (
    "letters.js", "letter_words.js", "letter_models.js", "letter_findings.js",
    "letter_facts.js", "letter_danger.js", "letters_reply.js", "said.js", "reason.js",
    "letters_page.js", "desk_letter.js", "desk_picker.js", f"letters-{PLANT}.json",
)  # fmt: skip
TIME = """letters => letters.map(it => {
  const started = performance.now();
  reader.readLetter(it, table);
  return performance.now() - started;
})"""


MOST_RATIO = {"a megabyte": 1.5, "a dozen in one": 1.3}
LONG = "leaves with holes and words without end " * 26_000
KEPT = 12_000


def travels(text: bytes) -> int:
    """Count the bytes of a file as a server sends it."""
    return len(gzip.compress(text, 9))


def main() -> int:
    """Build the site, read every development letter five times, print, hold to ratios."""
    texts = [it.text for it in development()]
    dozen = [it.text for it in invented()[:12]]
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "site"
        build_site(ROOT, out)
        sizes = {name: travels((out / "assets" / name).read_bytes()) for name in FILES}
        with served(out) as site, sync_playwright() as playwright:
            browser = start_browser(playwright)
            page = reader_page(browser, site)
            first = page.evaluate(TIME, texts[:1])[0]
            times = sorted(it for _ in range(5) for it in page.evaluate(TIME, texts))
            ratios = {
                "a megabyte": ratio(page, [LONG], [LONG[:KEPT]]),
                "a dozen in one": ratio(page, ["\n\n".join(dozen)], dozen),
            }
            browser.close()
    print(json.dumps(sizes), f"{sum(sizes.values()):,} bytes, compressed")
    print(
        f"first letter {first:.1f} ms; then median {statistics.median(times):.1f}, "
        f"95 in 100 within {times[int(0.95 * len(times))]:.1f}, most {times[-1]:.1f} ms"
    )
    print(json.dumps({name: round(found, 2) for name, found in ratios.items()}))
    return int(any(found > MOST_RATIO[name] for name, found in ratios.items()))


def ratio(page: Page, these: list[str], those: list[str]) -> float:
    """How much longer these take than those: the median of nine rounds, taken in turn."""
    rounds: list[float] = [
        sum(page.evaluate(TIME, these)) / sum(page.evaluate(TIME, those)) for _ in range(9)
    ]
    return statistics.median(rounds)


if __name__ == "__main__":
    sys.exit(main())
