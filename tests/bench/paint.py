"""How soon a question is painted, against a bare page of its words, in one throttled run.

`python -m tests.bench.paint`: 4 times slower processor, slow 4G (1.44 Mbit/s, 562 ms a
request), eleven interleaved loads of each with an empty cache, medians.
"""

import json
import re
import statistics
import sys
import tempfile
from html import escape
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from bedside.publish.whole_site import build_site
from tests.browser import served, start_browser

ROOT = Path(__file__).parents[2]
LOADS = 11
LIMIT = 1.2
SLOW_4G = {
    "offline": False, "latency": 562.5,
    "downloadThroughput": 1_440_000 / 8, "uploadThroughput": 675_000 / 8,
}  # fmt: skip
WATCH = """() => { window.painted = 0; new PerformanceObserver((list) => {
  for (const entry of list.getEntries()) window.painted = entry.startTime;
}).observe({type: "largest-contentful-paint", buffered: true}); }"""


def bare(html: str) -> str:
    """The same words with nothing else: no style, no script, no drawing."""
    title = re.findall(r"<title>(.*?)</title>", html)[0]
    body = re.sub(r"<(style|svg|script).*?</\1>", "", html, flags=re.DOTALL)
    words = re.findall(r">([^<>]+)<", body.partition("<body")[2])
    lines = "".join(f"<p>{escape(each.strip())}</p>" for each in words if each.strip())
    return (
        f'<!doctype html><html lang="en"><meta charset="utf-8">'
        f'<link rel="icon" href="data:,"><title>{title}</title>{lines}'
    )


def paint_ms(browser: Browser, address: str) -> float:
    """Largest contentful paint of one cold load, in milliseconds."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    session = context.new_cdp_session(page)
    session.send("Network.enable")
    session.send("Network.emulateNetworkConditions", SLOW_4G)
    session.send("Emulation.setCPUThrottlingRate", {"rate": 4})
    page.add_init_script(f"({WATCH})()")
    page.goto(address, wait_until="load")
    page.wait_for_timeout(300)
    painted = float(page.evaluate("window.painted"))
    context.close()
    return painted


def main() -> int:
    """Measure, print, and fail beyond the limit."""
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        out = Path(name) / "site"
        knowledge = Path(sys.argv[1]) if len(sys.argv) > 1 else None
        build_site(ROOT, out, knowledge=knowledge)
        question = sorted(out.glob("*/*/index.html"))
        page = next(
            it for it in question if 'class="ask"' in it.read_text(encoding="utf-8")
        )
        words = bare(page.read_text(encoding="utf-8"))
        (out / "bare.html").write_text(words, encoding="utf-8")
        browser = start_browser(playwright)
        with served(out) as address:
            ours, theirs = [], []
            for _ in range(LOADS):
                ours.append(paint_ms(browser, f"{address}{page.parent.relative_to(out)}/"))
                theirs.append(paint_ms(browser, f"{address}bare.html"))
        browser.close()
    ratio = statistics.median(ours) / statistics.median(theirs)
    found = {
        "question ms": statistics.median(ours),
        "bare ms": statistics.median(theirs),
        "ratio": round(ratio, 3),
    }
    print(json.dumps(found, indent=2))
    return int(ratio > LIMIT)


if __name__ == "__main__":
    sys.exit(main())
