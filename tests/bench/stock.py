"""A stock copy of a built site: its words as plain Markdown, in the same MkDocs and theme.

`python -m tests.bench.stock SITE FOLDER` writes `FOLDER/mkdocs.yml` and `FOLDER/docs/`:
what somebody would keep who wrote every page by hand. Headings, paragraphs, lists, tables,
emphasis and links between pages stay. Drawings, scripts, fields and printed files are left
out, so a stock build has less to do than ours.

The menu names the first page alone. With every page in it, as MkDocs does by itself, each
of 670 pages carries a list of all and a build takes five times as long: no fair rival.
"""

import re
import sys
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from posixpath import dirname, join, normpath, relpath
from urllib.parse import urlsplit

from bedside.publish.site_files import read_site

CONFIG = """\
site_name: Stock copy
site_url: https://quillwater.example/
docs_dir: docs
theme: {name: material, font: false}
nav: [index.md]
not_in_nav: /**
"""
DROPPED = frozenset({"svg", "script", "style", "template", "select", "button"})
HEADINGS = {f"h{level}": f"{'#' * level} " for level in range(1, 7)}
LISTS = {"ul": "-", "ol": "1."}
ITEMS = ("li", "dt", "dd", "tr")
BLOCKS = frozenset(
    {"p", "div", "section", "ul", "ol", "dl", "table", "tr", "aside", "nav", "header",
     "article", "figure", "figcaption", "details", "summary", "form", "fieldset", "legend",
     "blockquote", "pre", "main", "footer", "label", "caption", "address"}
)  # fmt: skip
MARKS = {"b": "**", "strong": "**", "em": "*", "i": "*", "code": "`"}
SPECIAL = re.compile(r"([\\`*_\[\]<>#|])")


class Words(HTMLParser):
    """Writes down the words of one page's main part as Markdown."""

    def __init__(self, address: str, pages: frozenset[str]) -> None:
        super().__init__()
        self.address = address
        self.pages = pages
        self.lines: list[str] = [""]
        self.lists: list[str] = []
        self.links: list[str] = []
        self.cells = 0
        self.dropped = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Begin a heading, a list, a row, a link or a plain block."""
        if tag in DROPPED or self.dropped:
            self.dropped += tag in DROPPED
        if self.dropped:
            return
        if tag in LISTS:
            self.lists.append(LISTS[tag])
        if tag in ITEMS:
            self.begin_item(tag)
        elif tag in {*HEADINGS, *LISTS} or (tag in BLOCKS and not self.lists):
            self.begin(HEADINGS.get(tag, ""))
        else:
            self.begin_within(tag, dict(attrs).get("href") or "")

    def begin_item(self, tag: str) -> None:
        """Begin an item of a list, or a row of a table."""
        mark = self.lists[-1] if self.lists else "-"
        if tag == "tr":
            self.cells, mark = 0, "|"
        self.begin("    " * max(0, len(self.lists) - 1) + f"{mark} ", near=True)

    def begin_within(self, tag: str, link: str) -> None:
        """Begin a link or an emphasis."""
        if tag == "a":
            self.links.append(self.target(link))
        self.write("[" if tag == "a" else MARKS.get(tag, ""))

    def handle_endtag(self, tag: str) -> None:
        """End what was begun."""
        if self.dropped:
            self.dropped -= tag in DROPPED
        elif tag in LISTS:
            self.lists.pop()
            self.begin()
        elif tag == "a" and self.links:
            self.write(f"]({self.links.pop()})")
        elif tag in MARKS:
            self.write(MARKS[tag])
        elif tag in ("td", "th"):
            self.cells += 1
            self.write(" | ")
        elif tag == "thead":
            self.begin("|" + " --- |" * self.cells, near=True)
        elif tag in HEADINGS or (tag in BLOCKS and not self.lists and tag != "tr"):
            self.begin()

    def handle_data(self, data: str) -> None:
        """Write text as it is, with nothing in it that Markdown could take for a mark."""
        if not self.dropped and data.strip():
            self.write(SPECIAL.sub(r"\\\1", re.sub(r"\s+", " ", data)))

    def begin(self, mark: str = "", *, near: bool = False) -> None:
        """Begin a line: `near` the one before it, or with an empty one between."""
        if not near and self.lines[-1].strip():
            self.lines.append("")
        self.lines.append(mark)

    def write(self, text: str) -> None:
        """Go on with the line at hand."""
        self.lines[-1] += text

    def target(self, link: str) -> str:
        """Where a link leads: a page's source for a page of the copy."""
        parts = urlsplit(link)
        if parts.scheme or parts.netloc:
            return link
        there = _address(self.address, parts.path)
        if there not in self.pages:
            return "#"
        return relpath(_source(there), dirname(_source(self.address)) or ".")


def _address(here: str, path: str) -> str:
    if not path:
        return here
    there = path.lstrip("/") if path.startswith("/") else normpath(join(here or ".", path))
    there = "" if there == "." else there
    return f"{there.rstrip('/')}/" if there else ""


def _source(address: str) -> str:
    return f"{address}index.md"


def as_markdown(address: str, html: str, pages: frozenset[str]) -> str:
    """One page's words."""
    main = html.partition("<main")[2].partition(">")[2].partition("</main>")[0]
    words = Words(address, pages)
    words.feed(main)
    text = "\n".join(line.rstrip() for line in words.lines)
    return re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"


def stock_pages(site: Path) -> Iterator[tuple[str, str]]:
    """Every page of a built site but the lost one: its source's name, its Markdown."""
    html = {
        name.removesuffix("index.html"): content.decode()
        for name, content in read_site(site).items()
        if name.endswith("index.html")
    }
    pages = frozenset(html)
    for address, text in html.items():
        yield _source(address), as_markdown(address, text, pages)


def write_stock(site: Path, folder: Path) -> int:
    """Write the stock copy; gives the number of its pages."""
    pages = dict(stock_pages(site))
    for name, text in pages.items():
        file = folder / "docs" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    (folder / "mkdocs.yml").write_text(CONFIG, encoding="utf-8")
    return len(pages)


if __name__ == "__main__":
    print(f"{write_stock(Path(sys.argv[1]), Path(sys.argv[2]))} pages")
