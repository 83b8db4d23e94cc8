"""How well letters are read: a table, every failure, and a plain text classifier beside it.

    python -m tests.tools.letters_report

The classifier (scikit-learn: words and word pairs by TF-IDF, logistic regression) sees the
same letters, all but the one it must judge. It shows what the records add.
"""

import warnings

import numpy as np
from playwright.sync_api import Page, sync_playwright
from sklearn.feature_extraction.text import TfidfVectorizer
from sklearn.linear_model import LogisticRegression
from sklearn.pipeline import make_pipeline

from bedside.publish.whole_site import build_site
from tests.browser import ROOT, served, start_browser
from tests.knowledge.letters_read import (
    READ,
    Reading,
    Wanted,
    development,
    invented,
    letters,
    measured,
    reader_page,
)
from tests.shipped import PLANT


def classified(wanted: tuple[Wanted, ...]) -> str:
    """Judge each decidable letter by a classifier that learnt from all the others."""
    decided = [it for it in wanted if it.decided]
    texts = [it.text for it in decided]
    labels = np.array([it.causes[0] for it in decided])
    first = three = 0
    for at, letter in enumerate(decided):
        rest = [other for other in range(len(decided)) if other != at]
        model = make_pipeline(
            TfidfVectorizer(ngram_range=(1, 2), sublinear_tf=True),
            LogisticRegression(max_iter=1000, C=10),
        )
        model.fit([texts[it] for it in rest], labels[rest])
        order = np.argsort(-model.predict_proba([letter.text])[0])
        named = [model.classes_[it] for it in order[:3]]
        first += named[0] in letter.causes
        three += any(it in letter.causes for it in named)
    return f"{first / len(decided):.0%} first, {three / len(decided):.0%} in three"


def share(what: str, right: int, all_: int) -> str:
    """Write one line of the table."""
    return f"  {what:22} {right:3} of {all_:3}  {right / all_:.0%}"


def table(name: str, wanted: tuple[Wanted, ...], readings: list[Reading]) -> str:
    """Show the shares of one set of letters and what went wrong."""
    got = measured(wanted, readings)
    lines = [
        f"{name}: {len(wanted)} letters",
        share("right cause first", got.first, got.decided),
        share("in the first three", got.three, got.decided),
        share("right first step", got.step, got.decided),
        share("too little: asks back", got.back, got.asks),
        f"  text classifier, one left out: {classified(wanted)}",
    ]
    by_id = {it.id: (it, read) for it, read in zip(wanted, readings, strict=True)}
    for id_, what in got.wrong:
        letter, read = by_id[id_]
        top = ", ".join(
            f"{it['cause']} {it['probability']:.2f}" for it in read["ranking"][:3]
        )
        found = ", ".join(f"{it['answer']} ({it['words']!r})" for it in read["findings"])
        lines += [f"  {id_} {what}: wanted {', '.join(letter.causes)}; got {top}"]
        lines += [f"      {' '.join(letter.text.split())}", f"      read: {found}"]
    return "\n".join(lines)


def alarms(page: Page) -> str:
    """Count dangers caught, false alarms, other plants found and mistaken."""
    danger, calm = letters("danger.yaml")["letters"], letters("calm.yaml")["letters"]
    plants = letters("other_plants.yaml")
    caught = sum(bool(it["urgent"]) for it in page.evaluate(READ, danger))
    false = sum(bool(it["urgent"]) for it in page.evaluate(READ, calm))
    others = page.evaluate(READ, [it["text"] for it in plants["other"]])
    found = sum(
        got["otherPlant"] == it["plant"]
        for got, it in zip(others, plants["other"], strict=True)
    )
    mistaken = sum(bool(it["otherPlant"]) for it in page.evaluate(READ, plants[PLANT]))
    return (
        f"danger: {caught} of {len(danger)} caught, {false} of {len(calm)} false alarms\n"
        f"another plant: {found} of {len(others)} found, "
        f"{mistaken} of {len(plants[PLANT])} of ours mistaken"
    )


def main() -> None:
    """Build the site, read every set of letters, and print."""
    warnings.filterwarnings("ignore")
    out = ROOT / ".bedside-cache" / "letters-report"
    build_site(ROOT, out)
    with served(out) as site, sync_playwright() as playwright:
        browser = start_browser(playwright)
        page = reader_page(browser, site)
        for name, wanted in (("development", development()), ("invented", invented())):
            readings = page.evaluate(READ, [it.text for it in wanted])
            print(table(name, wanted, readings), end="\n\n")
        print(alarms(page))
        browser.close()


if __name__ == "__main__":
    main()
