"""How well letters are read: the figures of both folders of letters, printed or kept.

    python -m tests.tools.letters_report [--keep] [--wrong]

`tuning` are letters from which the reader has learnt, `aside` letters written by others
that nobody has looked at one by one. With --keep the figures go to the page on how sure
we are; with --wrong every letter of `tuning` that came out wrong is shown, to mend by.
"""

import json
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from playwright.sync_api import sync_playwright

from bedside.publish.whole_site import build_site
from tests.browser import ROOT, served, start_browser
from tests.knowledge.letters_read import READ, reader_page
from tests.knowledge.letters_scored import Pair, figures, written
from tests.shipped import PLANT

KEPT = ROOT / "knowledge" / PLANT / "letters_read.json"
FOLDERS = ("aside", "tuning")


def readings(out: Path) -> dict[str, list[Pair]]:
    """Read both folders with the reader of a built site."""
    with served(out) as site, sync_playwright() as playwright:
        page = reader_page(start_browser(playwright), site)
        return {
            name: list(
                zip(all_, page.evaluate(READ, [it["letter"] for it in all_]), strict=True)
            )
            for name in FOLDERS
            if (all_ := written(name))
        }


def wrong(pairs: Sequence[Pair]) -> list[str]:
    """Show the letters whose kind, danger or cause came out wrong."""
    lines = []
    for it, got in pairs:
        first = got["ranking"][0]["cause"]
        if it["kind"] == got["kind"] and (not it.get("causes") or first in it["causes"]):
            continue
        wanted = [it["kind"], it.get("box", ""), *it.get("causes", ())]
        came = [got["kind"], *(each["aid"] for each in got["urgent"] or ()), first]
        found = [each["answer"] for each in got["findings"]]
        lines.append(
            f"{it['id']} wanted {wanted} came {came} {found}\n    {it['letter'].strip()}"
        )
    return lines


def main() -> int:
    """Build the site, read, print, and keep the figures if asked."""
    out = ROOT / ".bedside-cache" / "letters-report"
    build_site(ROOT, out)
    found = readings(out)
    told = {name: figures(pairs) for name, pairs in found.items()}
    for name, shares in told.items():
        print(f"{name}: {len(found[name])} letters")
        for what, share in shares.items():
            print(f"  {what:45} {share}")
    if "--wrong" in sys.argv:
        print(*wrong(found["tuning"]), sep="\n")
    if "--keep" in sys.argv:
        kept = {
            "read": date.today().isoformat(),  # noqa: DTZ011
            "letters": {name: len(pairs) for name, pairs in found.items()},
            "figures": {
                what: {name: [told[name][what].right, told[name][what].of] for name in told}
                for what in told["tuning"]
            },
        }
        KEPT.write_text(json.dumps(kept, indent=2) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
