"""`bedside new site`: a whole small site, made of what ships and of an invented plant.

Records that are true for any plant are copied, since they are the grower's from then on;
templates, words and tables are not: they come with the package.
"""

import re
from collections.abc import Iterator
from pathlib import Path

from bedside.checks.material import gather
from bedside.checks.uses import NO_PUBLICATION, source_uses
from bedside.commands.terminal import CLEAN, FOLDER, UsageError
from bedside.model.library import Document, Library
from bedside.read.library import read_library
from bedside.read.shipped import KNOWLEDGE, files_below

STARTER = Path(__file__).parent / "starter"
# What a site starts with of the records that ship: they are hers to change.
RECORDS = (
    "README.md", "emergencies.yaml", "extension.csv", "sources.yaml",
    "controls/*", "topics/*", "season/*.yaml", "season/README.md",
)  # fmt: skip
SCHEMAS = ".schema"  # for editors alone: what is checked by comes with the package
SCHEMA_LINE = re.compile(r"(\A# yaml-language-server: \$schema=(?:\.\./)*)schema/")
IGNORED = "site/\n.site*/\n.bedside-cache/\nhandouts/\nstack.pdf\n"
NEXT = """\
made {site}: a site of one invented plant, the dimplewort
next:
  1. put your name into {nursery}
  2. cd {site}
  3. bedside serve --open"""


def write_site(site: Path, today: str) -> int:
    """Write a site into a folder that is empty or not there yet."""
    if site.exists() and not (site.is_dir() and not any(site.iterdir())):
        what = "holds something already" if site.is_dir() else "is a file"
        raise UsageError(f"{site} {what}; name a new folder: bedside new site my-site")
    knowledge = site / FOLDER
    for name, content in _contents(today):
        path = knowledge / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    _keep_cited(knowledge)
    (site / ".gitignore").write_text(IGNORED, encoding="utf-8")
    print(NEXT.format(site=site, nursery=knowledge / "nursery.yaml"))
    return CLEAN


def _contents(today: str) -> Iterator[tuple[str, bytes]]:
    for pattern in RECORDS:
        for path in sorted(KNOWLEDGE.glob(pattern)):
            text = path.read_text(encoding="utf-8")
            name = path.relative_to(KNOWLEDGE).as_posix()
            yield name, SCHEMA_LINE.sub(rf"\1{SCHEMAS}/", text).encode()
    for name, path in files_below(KNOWLEDGE / "schema"):
        yield f"{SCHEMAS}/{name}", path.read_bytes()
    for name, path in files_below(STARTER):
        text = path.read_text(encoding="utf-8")
        yield name, text.replace("$today", today).encode()


def _keep_cited(knowledge: Path) -> None:
    """Take out the sources that none of the copied records names."""
    library, _, _ = read_library(knowledge)
    if library is None:
        return
    document = library.documents["sources.yaml"]
    text = "\n".join(_lines_cited(document, library)) + "\n"
    (knowledge / document.file).write_text(text, encoding="utf-8")


def _lines_cited(document: Document, library: Library) -> Iterator[str]:
    cited = {use.name for use in source_uses(gather(library))}
    cited |= {id_ for id_, it in document.data.items() if it["kind"] in NO_PUBLICATION}
    starts = {document.keys[(id_,)][0]: id_ for id_ in document.data}
    keep = True
    for number, line in enumerate(document.lines, 1):
        if number in starts:
            keep = starts[number] in cited
        if keep:
            yield line
