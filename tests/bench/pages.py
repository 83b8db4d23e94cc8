"""What a question page costs to build, at 1,000 and at 10,000, and against Markdown.

`python -m tests.bench.pages`. Everything is written to memory-backed storage where there is
any, because a disk's cost for new files hides the rest; time is the processor's own, so
that nothing else on the machine counts. Medians of five interleaved rounds.
"""

import json
import re
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from mkdocs.commands.build import build as mkdocs_build
from mkdocs.config import load_config

from bedside.model.library import Library
from bedside.model.records import OTHERWISE, Plant, Question, Sign
from bedside.pages.all_pages import ASSET_KINDS
from bedside.pages.frame.assets import bundle
from bedside.pages.frame.desk import Site, SitePage, site
from bedside.pages.sheets import sheet_pages
from bedside.pages.walk import question_pages
from bedside.pipeline import Built
from bedside.publish.mkdocs_hook import write_site
from bedside.read.library import read_library
from bedside.read.theme import read_theme

ROOT = Path(__file__).parents[2]
TOY = ROOT / "tests" / "toy"
SMALL, LARGE = 1_000, 10_000
AGAINST = 200
ROUNDS = 5
LINEAR = 1.2
MARKDOWN = 0.15


def with_questions(library: Library, count: int) -> Library:
    """The toy with a made-up tree of `count` questions, each leading to the next four."""
    plant = library.knowledge.plants["mossbell"]
    pattern = plant.signs[plant.tree.questions[plant.tree.first].sign]
    signs = {f"s{n}": _sign(pattern, n) for n in range(count)}
    questions = {f"s{n}": _question(signs, n, count) for n in range(count)}
    tree = replace(plant.tree, first="s0", questions=questions)
    made: Plant = replace(plant, signs=signs, tree=tree)
    knowledge = replace(library.knowledge, plants={plant.id: made})
    # The printed sheet shows answers that the made-up plant does not have.
    documents = {k: it for k, it in library.documents.items() if it.kind != "handout"}
    return replace(library, knowledge=knowledge, documents=documents)


def _sign(pattern: Sign, number: int) -> Sign:
    answers = tuple(replace(each, id=f"{each.id}{number}") for each in pattern.answers)
    question = f"{pattern.question} ({number})"
    return replace(pattern, id=f"s{number}", question=question, answers=answers, none=None)


def _question(signs: Mapping[str, Sign], number: int, count: int) -> Question:
    # A bushy tree: walks stay short, as in a real one.
    sign = signs[f"s{number}"]
    nexts = [4 * number + step for step in range(1, 5)]
    *places, rest = [f"s{n}" if n < count else "unlisted" for n in nexts]
    ways = {each.id: place for each, place in zip(sign.answers, places, strict=True)}
    path = _path(signs, number)
    return Question(id=sign.id, sign=sign.id, path=path, ways=ways, otherwise=rest)


def _path(signs: Mapping[str, Sign], number: int) -> tuple[str, ...]:
    if number == 0:
        return ()
    above, way = divmod(number - 1, 4)
    answers = [*(each.id for each in signs[f"s{above}"].answers), OTHERWISE]
    return (*_path(signs, above), f"s{above}", answers[way])


def desk_of(library: Library) -> Site:
    theme = read_theme(ROOT)
    desk = site(library, theme, bundle(theme.assets))
    # Nobody pins a thousand questions to a wall: their key takes longer than all else.
    files_of = (kind for kind in ASSET_KINDS if kind is not sheet_pages.assets)
    made = tuple(asset for kind in files_of for asset in kind(desk))
    return replace(desk, templates=desk.templates.knowing(made))


def seconds(work: Callable[[], object]) -> float:
    before = time.process_time()
    work()
    return time.process_time() - before


def written(pages: tuple[SitePage, ...], library: Library, folder: Path) -> None:
    nursery = library.knowledge.nursery
    built = Built(problems=(), nursery=nursery, pages=pages, newest="2026-01-01")
    write_site(ROOT, folder, built)


def as_markdown(pages: tuple[SitePage, ...], folder: Path) -> Path:
    """The same words as hand-written Markdown pages in the same MkDocs."""
    source = folder / "docs"
    for page in pages:
        file = source / page.address / "index.md"
        file.parent.mkdir(parents=True, exist_ok=True)
        body = page.html.partition("<main")[2].partition(">")[2].partition("</main>")[0]
        file.write_text(f"# {page.title}\n\n{_markdown(body)}\n", encoding="utf-8")
    config = folder / "mkdocs.yml"
    config.write_text(
        "site_name: x\ndocs_dir: docs\ntheme: {name: material, font: false}\n",
        encoding="utf-8",
    )
    return config


def _markdown(body: str) -> str:
    body = re.sub(r"<svg.*?</svg>", "", body, flags=re.DOTALL)
    rows = re.findall(r"<b>(.*?)</b>|<p[^>]*>(.*?)</p>", body, flags=re.DOTALL)
    return "\n".join(f"- [{b}](#)" if b else f"\n{p}\n" for b, p in rows)


def cost(count: int, library: Library, room: Path) -> float:
    """Milliseconds a page: compile, write and an empty site taken off."""
    desk = desk_of(with_questions(library, count))
    pages: list[SitePage] = []
    made = seconds(lambda: pages.extend(question_pages.pages(desk)))
    bare = seconds(lambda: written((), library, room / "empty"))
    full = seconds(lambda: written(tuple(pages), library, room / f"full{count}"))
    return 1000 * (made + full - bare) / count


def main() -> int:
    """Measure, print, and fail beyond the limits."""
    library, _, _ = read_library(TOY)
    assert library is not None
    shared = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=shared if shared.is_dir() else None) as name:
        rounds = [
            one_round(library, Path(tempfile.mkdtemp(dir=name))) for _ in range(ROUNDS)
        ]
    small, large, against = (
        statistics.median(column) for column in zip(*rounds, strict=True)
    )
    found = {
        "ms a page at 1,000": round(small, 3),
        "ms a page at 10,000": round(large, 3),
        "ratio": round(large / small, 3),
        "against Markdown": round(against, 3),
    }
    print(json.dumps(found, indent=2))
    return int(large / small > LINEAR or against > MARKDOWN)


def one_round(library: Library, room: Path) -> tuple[float, float, float]:
    small, large = cost(SMALL, library, room), cost(LARGE, library, room)
    return small, large, ratio_to_markdown(library, room)


def ratio_to_markdown(library: Library, room: Path) -> float:
    desk = desk_of(with_questions(library, AGAINST))
    pages: list[SitePage] = []
    made = seconds(lambda: pages.extend(question_pages.pages(desk)))
    bare = seconds(lambda: written((), library, room / "bare"))
    ours = made + seconds(lambda: written(tuple(pages), library, room / "ours")) - bare
    config = as_markdown(tuple(pages), room)
    empty = room / "none"
    (empty / "docs").mkdir(parents=True)
    (empty / "docs" / "index.md").write_text("# x\n", encoding="utf-8")
    (empty / "mkdocs.yml").write_text(config.read_text(encoding="utf-8"), encoding="utf-8")
    nothing = seconds(lambda: build_plain(empty / "mkdocs.yml", room / "site-none"))
    theirs = seconds(lambda: build_plain(config, room / "site-markdown")) - nothing
    return ours / theirs


def build_plain(config: Path, out: Path) -> None:
    mkdocs_build(load_config(str(config), site_dir=str(out)))


if __name__ == "__main__":
    sys.exit(main())
