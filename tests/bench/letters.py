"""How long a letter takes, and how heavy the reader is.

python -m tests.bench.letters
"""

import json
import statistics
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from bedside.publish.whole_site import build_site
from tests.browser import ROOT, served, start_browser
from tests.knowledge.letters_read import development, reader_page
from tests.shipped import PLANT

FILES = ("letters.js", "letter_words.js", "reason.js", f"letters-{PLANT}.json")
TIME = """letters => letters.map(it => {
  const started = performance.now();
  reader.readLetter(it, table);
  return performance.now() - started;
})"""


def main() -> None:
    """Build the site, read every development letter five times, and print."""
    texts = [it.text for it in development()]
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "site"
        build_site(ROOT, out)
        sizes = {name: (out / "assets" / name).stat().st_size for name in FILES}
        with served(out) as site, sync_playwright() as playwright:
            browser = start_browser(playwright)
            page = reader_page(browser, site)
            first = page.evaluate(TIME, texts[:1])[0]
            times = sorted(it for _ in range(5) for it in page.evaluate(TIME, texts))
            browser.close()
    print(json.dumps(sizes), f"{sum(sizes.values()):,} bytes")
    print(
        f"first letter {first:.1f} ms; then median {statistics.median(times):.1f}, "
        f"95 in 100 within {times[int(0.95 * len(times))]:.1f}, most {times[-1]:.1f} ms"
    )


if __name__ == "__main__":
    main()
