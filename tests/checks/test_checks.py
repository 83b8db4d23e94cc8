"""Every check against its page: what passes, what fails, and on which line."""

import re
import shutil
from datetime import date
from pathlib import Path

import pytest

from bedside.checks import CHECKS, DATED, OF_MANY, REASONED, code_of, kinds_in_words, run
from bedside.checks.material import gather
from bedside.checks.reading import GRADES
from bedside.checks.wording import BELITTLING, COLOUR_ONLY, DOSES, HEDGED, PRODUCT_LIKE
from bedside.language.readability import pooled
from bedside.model.library import Library
from bedside.problems import Problem
from bedside.read.library import read_library
from tests.checks.check_pages import CheckPage, Patch, marks, read_page

HERE = Path(__file__).parents[1]
TOY = HERE / "toy"
PAGES = sorted((HERE / "cases" / "checks").glob("*.md"))
CODES = {*map(code_of, CHECKS), *map(code_of, DATED)}


@pytest.fixture
def pages_are_here() -> None:
    """Fail early if the folder of pages is empty."""
    assert PAGES


def laid_over(folder: Path, patches: tuple[Patch, ...]) -> Path:
    """Copy the toy and change it."""
    root = folder / "knowledge"
    shutil.copytree(TOY, root)
    for patch in patches:
        file = root / patch.file
        if patch.how == "gone":
            file.unlink()
            continue
        file.parent.mkdir(exist_ok=True)
        toy = file.read_text(encoding="utf-8") if file.exists() else ""
        file.write_text(patch.laid_over(toy), encoding="utf-8")
    return root


def problems_of(root: Path, page: CheckPage) -> list[Problem]:
    """Check a knowledge folder whose shape is right; keep what this page is about."""
    library, broken, _ = read_library(root)
    assert library, [f"{it.file}:{it.line} {it.message}" for it in broken]
    today = date.fromisoformat(page.today) if page.today else None
    return [it for it in run(library, today) if it.code == page.code]


def test_every_check_has_its_page(pages_are_here: None) -> None:
    """A check without a page, or a page without a check, fails."""
    assert {path.stem for path in PAGES} == CODES


def test_every_check_has_a_name_of_its_own() -> None:
    """Codes are unique, and every check says in one sentence what holds."""
    checks = (*CHECKS, *DATED)
    assert len(CODES) == len(checks)
    for check in checks:
        assert check.__doc__, check.__name__
        assert "\n" not in check.__doc__.strip(), check.__name__


def assert_says_something(page: CheckPage) -> None:
    """A block that changes nothing would pass whatever the check does."""
    for name, patches in (("passing", page.passing), ("failing", page.failing)):
        assert patches, f"the page has no {name} block"
        for patch in patches:
            is_shortened = name == "failing" and patch.without
            assert is_shortened or not patch.is_empty, f"a {name} block is empty"


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.stem)
def test_what_passes_passes(path: Path, tmp_path: Path) -> None:
    """The passing block of a page gives no problem of its code."""
    page = read_page(path)
    assert_says_something(page)
    assert page.prose.count(".") >= 2, "the page does not say why in two sentences"
    assert problems_of(laid_over(tmp_path, page.passing), page) == []


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.stem)
def test_what_fails_fails_on_its_line(path: Path, tmp_path: Path) -> None:
    """The failing block of a page gives the code at each marked line, and nowhere else."""
    page = read_page(path)
    root = laid_over(tmp_path, page.failing)
    wanted = {
        (patch.file, line, level)
        for patch in page.failing
        if patch.how != "gone"
        for line, level, code in marks((root / patch.file).read_text(encoding="utf-8"))
        if code == page.code
    }
    assert wanted, "the page marks no line"
    found = problems_of(root, page)
    assert {(it.file, it.line, it.level) for it in found} == wanted
    assert len(found) == len(wanted)
    assert all(it.hint for it in found), "a problem says what to do next"


def test_of_two_the_newer_is_named(tmp_path: Path) -> None:
    """Of two answers with one id, the one looked over later is told, whatever its name."""
    root = laid_over(tmp_path, ())
    for file, day in (("bite", "2026-03-01"), ("soil", "2026-02-01")):
        path = root / "mossbell" / "signs" / f"{file}.yaml"
        text = re.sub(r"id: \S+", "id: same", path.read_text("utf-8"), count=1)
        path.write_text(re.sub(r"reviewed: \S+", f"reviewed: {day}", text), "utf-8")
    library, broken, _ = read_library(root)
    assert library, broken
    (found,) = [it for it in run(library) if it.code == "clashing-answer"]
    assert found.file == "mossbell/signs/bite.yaml"
    assert "an answer in mossbell/signs/soil.yaml, line " in found.hint


@pytest.mark.parametrize(
    ("good", "fault"),
    [
        ("", "no passing block"),
        ("```yaml\n```\n", "must begin with"),
        ("```yaml\n# in nursery.yaml\n```\n", "a passing block is empty"),
        ("```yaml\n# in nursery.yaml\n\n# later\n```\n", "a passing block is empty"),
    ],
)
def test_a_page_that_shows_nothing_is_no_page(
    tmp_path: Path, good: str, fault: str
) -> None:
    """A passing block must be there, say where it belongs, and say something."""
    bad = "```yaml\n# in nursery.yaml\nname: B  # error: any\n```\n"
    path = tmp_path / "any.md"
    path.write_text(f"# any\n\nOne. Two.\n\n## Passes\n\n{good}\n## Fails\n\n{bad}")
    with pytest.raises(AssertionError, match=fault):
        assert_says_something(read_page(path))


@pytest.mark.parametrize(
    "text",
    [
        "Two tablespoons per gallon", "30 ml in 5 litres of water", "1 oz to a gallon",
        "half a cup of soap in a bucket", "4 lb per acre", "10 g/m2", "a 10 % bleach mix",
        "one part vinegar to three parts water", "Mix the oil with water 1:50",
        "3 pounds per 100 square feet", "5 teaspoons of neem oil per quart",
    ],
)  # fmt: skip
def test_a_dose_is_found_in_whatever_units(text: str) -> None:
    """Household, imperial and metric amounts, percents, parts and ratios are all doses."""
    assert any(pattern.search(text) for pattern in DOSES)


@pytest.mark.parametrize(
    "text",
    [
        "About 1 in (25 mm) long", "10 % of the leaves are bitten", "Eggs lie 6 in a row",
        "Likely (7 in 10)", "Give it an inch of water a week", "Drop it in soapy water",
        "Put a cup over the shoot", "A pound of roots", "Look at 10 plants in a bed",
        "Soak it for an hour", "Keep it at 50 degrees", "Open from 9:30 to 5",
    ],
)  # fmt: skip
def test_sizes_counts_and_times_are_no_dose(text: str) -> None:
    """What is measured, counted or timed may be said."""
    assert not any(pattern.search(text) for pattern in DOSES)


@pytest.mark.parametrize(
    "text",
    [
        "Below 50 F it stops growing",
        "DNA and RNA",
        "Zone 9b",
        "McMaster and Wilhelm",
        "Call 911",
        "a Bt spray",
        "New York",
        "In 2012 the USDA said so",
        "IRAC group 11A",
    ],
)
def test_places_people_and_temperatures_are_no_product(text: str) -> None:
    """Only what looks like a trade name is taken for one."""
    assert not PRODUCT_LIKE.search(text)


def test_words_that_may_stand() -> None:
    """Place and time after "just", numbers alone, and colours of parts are no fault."""
    assert not BELITTLING.search("Cut it just above the soil, just after rain.")
    assert not HEDGED.search("It is the moth 7 in 10 times.")
    assert not COLOUR_ONLY.search("The orange dust rubs off. The left leaf is older.")


def test_the_toy_has_no_problem() -> None:
    """The toy knowledge passes every check, so that each page shows one fault alone."""
    library, _, _ = read_library(TOY)
    assert library is not None
    assert [f"{it.file}:{it.line} {it.message}" for it in run(library)] == []


def test_checks_of_the_arithmetic_wait_for_sound_ids(tmp_path: Path) -> None:
    """A wrong id gives its own error and no false ones from the arithmetic."""
    page = read_page(HERE / "cases" / "checks" / "unknown-answer.md")
    library, _, _ = read_library(laid_over(tmp_path, page.failing))
    assert library is not None
    codes = {it.code for it in run(library)}
    assert "unknown-answer" in codes
    assert not codes & {code_of(check) for check in REASONED}


def test_a_tree_of_too_many_lines_is_named_once(tmp_path: Path) -> None:
    """Above two hundred lines, and not at two hundred, the outline is too long to read."""
    root = laid_over(tmp_path, ())
    file = root / "mossbell" / "tree.yaml"
    text = file.read_text(encoding="utf-8")
    for lines, wanted in ((200, []), (201, [(201, "warning")])):
        file.write_text("#\n" * (lines - text.count("\n")) + text, encoding="utf-8")
        library, _, _ = read_library(root)
        assert library is not None
        found = [it for it in run(library) if it.code == "long-tree"]
        assert [(it.line, it.level) for it in found] == wanted


def test_no_check_reads_the_clock(tmp_path: Path) -> None:
    """Without a day given nothing is ever overdue."""
    page = read_page(HERE / "cases" / "checks" / "stale-review.md")
    library, _, _ = read_library(laid_over(tmp_path, page.failing))
    assert library is not None
    assert "stale-review" not in {it.code for it in run(library)}


def test_problems_come_in_the_order_of_files_and_lines(tmp_path: Path) -> None:
    """The report is sorted, so that two runs read the same."""
    page = read_page(HERE / "cases" / "checks" / "unknown-source.md")
    library, _, _ = read_library(laid_over(tmp_path, page.failing))
    assert library is not None
    found = run(library)
    assert list(found) == sorted(found, key=lambda it: (it.file, it.line, it.column))
    assert found == run(library)


def test_the_real_knowledge_has_no_error(real: Library) -> None:
    """What we publish passes our own rulebook."""
    found = [it for it in run(real) if it.level == "error"]
    assert [f"{it.file}:{it.line} {it.message} [{it.code}]" for it in found] == []


def test_real_sentences_are_short_on_the_whole(real: Library) -> None:
    """No real record has more than 20 words a sentence on average (plain language)."""
    texts: dict[str, list[str]] = {}
    for text in gather(real).texts:
        if text.voice in GRADES:
            texts.setdefault(text.document.file, []).append(text.say)
    counts = {file: pooled(says) for file, says in texts.items()}
    assert {file for file, it in counts.items() if it.words > 20 * it.sentences} == set()


def test_what_is_said_of_many_is_of_a_check_that_is() -> None:
    """Words for a kind that no check has any more are taken out with it."""
    elsewhere = {"left-out", "missing-key"}  # found while drafts are read
    ours = {*map(code_of, CHECKS), *map(code_of, DATED)}
    assert set(OF_MANY) - elsewhere <= ours
    assert set(kinds_in_words()) == ours | elsewhere
