"""The knowledge that ships, held to its worked cases and to the checklist of the project.

Rows R03 to R42 of the checklist are named in the first line of a test, with their source.
Others stand beside what they are about: R03 to R06, R15, R16, R25 and R42 in
test_pages_browser.py, R07 to R10, R15, R20, R23 and R42 in test_site.py, R18, R19, R21 and
R22 in builder/bedside/checks/reading.py with a page each in tests/cases/checks/, R31, R32
and R36 in test_properties.py for every made-up plant.
"""

import random
import re
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Browser

from bedside.measure.cases import score_cases
from bedside.measure.report import CaseScores
from bedside.model.library import Library
from bedside.model.records import SPRAY_TIERS
from bedside.pages.frame.addresses import cause_address
from bedside.pages.frame.desk import PlantDesk, Site
from bedside.pages.frame.views import ResultView
from bedside.pages.walk.result_pages import end_view, result_view
from bedside.read.library import read_library
from bedside.read.theme import read_theme
from bedside.reason.evidence import Context, Findings
from bedside.reason.findings import findings_of, makes_sense
from bedside.reason.next_look import next_look
from bedside.reason.outcome import denies, outcome
from bedside.reason.ranking import headline, rank
from bedside.reason.scale import BANDS, NAMED_FROM, NEEDED_SHARE, sureness
from bedside.reason.steps import check_state
from tests.knowledge.told_findings import told_findings

ROOT = Path(__file__).parents[2]
WALKS = 300
LIBRARY, *_ = read_library(ROOT / "knowledge")
CASES = {
    f"{plant.id}-{case.id}": (plant.id, case)
    for plant in (LIBRARY.knowledge.plants.values() if LIBRARY else ())
    for case in plant.cases
}
SHOWN = re.compile(r"\d+ in 10\b")
HEDGED = re.compile(r"(?i)\b(about|approximately|around|roughly|up to) \d+ in 10\b")


@pytest.fixture(scope="module")
def results(made: Site, desk: PlantDesk) -> dict[str, ResultView]:
    """The result at each end of the tree, as its page shows it without a script."""
    return {end: end_view(made, desk, end) for end in desk.plant.tree.ends}


@pytest.fixture(scope="module")
def shown(made: Site, desk: PlantDesk) -> tuple[tuple[Findings, ResultView], ...]:
    """The results of what people may have told: walks, cases, letters, old links."""
    told = told_findings(desk.plant, desk.evidence)
    return tuple((findings, result_view(made, desk, findings)) for findings in told)


@pytest.fixture(scope="module")
def scores(desk: PlantDesk) -> CaseScores:
    found = score_cases(desk.plant, desk.evidence)
    assert found is not None
    return found


@pytest.mark.parametrize("name", CASES)
def test_a_worked_case_can_be_told_and_keeps_its_cause_possible(
    real: Library, made: Site, name: str
) -> None:
    """Each finding is an answer, none denies another's need, the cause stays possible."""
    plant, case = CASES[name]
    desk = made.desks[plant]
    parsed = findings_of(desk.evidence, case.findings)
    assert not parsed.notes
    assert len(parsed.findings) == len(case.findings)
    assert case.source in real.knowledge.sources
    assert {case.cause, *case.also} <= set(desk.plant.causes)
    ranking = rank(
        desk.evidence, parsed.findings, Context(zone=case.zone, season=case.season)
    )
    assert 0 < ranking.share(case.cause) < 1
    assert ranking.share(case.cause) > 1 / 10_000


def test_there_are_enough_worked_cases(scores: CaseScores) -> None:
    """R37 (after Semigran et al. 2015): a hundred cases or more, most causes twice."""
    assert scores.count >= 100
    assert len(scores.causes) >= 40
    assert sum(it.count >= 2 for it in scores.causes) >= 0.9 * len(scores.causes)
    assert scores.special.two >= 5
    assert scores.special.off_list >= 5


def test_worked_cases_are_told_apart(scores: CaseScores) -> None:
    """R37: hits whose whole Wilson interval lies well above every baseline."""
    ways = {way.name: way for way in scores.ways}
    all_told = ways["findings"]
    assert all_told.score.first >= 0.80
    assert all_told.score.three >= 0.90
    assert all_told.score.right >= 0.85
    assert all_told.score.harmful == 0
    assert all_told.score.confident_wrong <= 0.05
    for other in ("questions", "random", "nothing"):
        assert all_told.first_interval[0] > ways[other].first_interval[1]
    assert all_told.brier <= 0.36
    assert all_told.log_score <= 1.0


def test_what_cases_are_shown_is_not_more_than_is_true(scores: CaseScores) -> None:
    """R37: of the cases shown n in 10, at least n - 1 in 10 are right."""
    assert scores.reliability
    for row in scores.reliability:
        assert row.true >= row.tenths / 10 - 0.1


def test_cases_of_two_troubles_and_off_the_list(scores: CaseScores) -> None:
    """Two at once stand together in three; off the list, nothing is called very likely."""
    assert scores.special.two_in_three >= 0.8 * scores.special.two
    assert scores.special.off_list_quiet == scores.special.off_list


def test_no_share_is_zero_and_rows_sum_to_one(desk: PlantDesk) -> None:
    """R32 (Laplace's rule against zeros): no chance is zero, each row sums to 1."""
    for sign in desk.evidence.signs.values():
        for table in (sign.share, sign.read):
            assert np.abs(table.sum(axis=1) - 1).max() < 1e-9, sign.id
        assert sign.read.min() > 0, sign.id
    assert desk.evidence.prior.min() > 0
    assert desk.evidence.prior.sum() == pytest.approx(1, abs=1e-9)


def test_nothing_is_asked_twice_and_walks_are_short(desk: PlantDesk) -> None:
    """R11 (WCAG 3.3.7), R35: no walk asks a sign twice; none has more than 7 questions."""
    for end in desk.plant.tree.ends.values():
        asked = end.path[0::2]
        assert len(asked) == len(set(asked)) <= 7, end.id
    draw = random.Random(35)
    for _ in range(WALKS):
        said: dict[str, str | None] = {}
        while look := next_look(desk.evidence, desk.plant.tree, said):
            assert look.sign not in said, said
            answers = (*desk.evidence.signs[look.sign].answers, None)
            said[look.sign] = draw.choice(answers)
            assert len(said) <= 7


def test_i_cant_tell_always_leads_on(desk: PlantDesk) -> None:
    """R24 (GOV.UK design system): from every question, who can't tell comes to an end."""
    tree = desk.plant.tree
    for node in tree.questions:
        place, steps = node, 0
        while place in tree.questions:
            place, steps = tree.questions[place].after(None), steps + 1
            assert steps <= 7, node
        assert place in tree.ends, node


def test_options_are_few_and_end_with_the_ways_out(desk: PlantDesk) -> None:
    """R23 (CDC index): two to five things to see, at most seven with the two ways out."""
    for sign in desk.plant.signs.values():
        assert 2 <= len(sign.answers) <= 5, sign.id
        if sign.none:
            assert sign.all_answers[-1] == sign.none, sign.id
    for node, question in desk.plant.tree.questions.items():
        answers = {answer.id for answer in desk.plant.signs[question.sign].all_answers}
        assert set(question.ways) <= answers, node
        assert question.otherwise, node


def test_words_of_sureness_follow_one_scale(site_folder: Path) -> None:
    """R28 (ICD 203; Wintle et al. 2019): each word has its number; none is hedged."""
    words = words_of_scale()
    pages = list((site_folder / "canna" / "result").rglob("index.html"))
    assert len(pages) > 40
    seen = 0
    for page in pages:
        text = re.sub(r"<[^>]+>", " ", page.read_text(encoding="utf-8"))
        assert not HEDGED.search(text)
        for found in SHOWN.finditer(text):
            before, tenths = text[: found.start()].lower(), int(found[0].split()[0])
            if before.endswith("fewer than "):
                before, tenths = before.removesuffix("fewer than "), 0
            word = words[sureness(tenths / 10).word]
            assert before.rstrip(" (").endswith(word), text[found.start() - 60 :][:80]
            seen += 1
    assert seen > 100


def words_of_scale() -> dict[str, str]:
    words = read_theme(ROOT).words["sureness"]
    assert {name for _, name in BANDS} == set(words)
    return {name: word.lower() for name, word in words.items()}


def test_nothing_is_ever_certain(desk: PlantDesk, results: dict[str, ResultView]) -> None:
    """R29 (ICD 203): never above 9 in 10; below .45 no cause is named first."""
    assert sureness(1.0).tenths == 9
    for end, view in results.items():
        if view.head.cause:
            ranking = desk.arrived[end].ranking
            assert headline(desk.evidence, ranking).share >= NAMED_FROM, end
        for shown in SHOWN.findall(view.head.sure):
            assert int(shown.split()[0]) <= 9, end
    assert any(view.head.open for view in results.values())


def test_every_result_shows_what_else_it_could_be(
    desk: PlantDesk, shown: tuple[tuple[Findings, ResultView], ...]
) -> None:
    """R30 (Ely, Graber and Croskerry 2011): two look-alikes with what splits, one check.

    Fewer only where an answer denies every other look-alike; no check only where it would
    make no sense, undo the step or leave everything as sure as it is.
    """
    bare = 0
    for findings, view in shown:
        found = outcome(desk.evidence, findings)
        listed = {each.address for each in (*view.also, *view.within)}
        assert all(each.split for each in (*view.also, *view.within)), findings
        lead = desk.plant.causes[found.ranking.top]
        named = {cause_address(it) for it in (found.head.id, *found.head.within)}
        for look in lead.look_alikes if len(listed) < 2 else ():
            assert cause_address(look.cause) in listed | named or denies(
                desk.evidence, findings, look.cause
            ), (findings, look.cause)
        bare += not listed
        if view.head.cause and view.check is None and lead.check is not None:
            step = desk.plant.first_steps[found.step.step]
            others = {it: said for it, said in findings.items() if it != lead.check.sign}
            assert (
                lead.check.sign in step.rules_out
                or not makes_sense(desk.evidence, others, lead.check.sign)
                or leaves_all_as_sure(desk, findings, lead.check.sign)
            ), findings
    assert bare < 0.3 * len(shown)


def leaves_all_as_sure(desk: PlantDesk, findings: Findings, sign: str) -> bool:
    """Whether each answer of a sign would name the same cause, no less sure."""
    now = outcome(desk.evidence, findings).head
    then = [
        outcome(desk.evidence, {**findings, sign: answer}).head
        for answer in desk.evidence.signs[sign].answers
    ]
    return all(
        (it.kind, it.id) == (now.kind, now.id)
        and sureness(it.share).tenths >= sureness(now.share).tenths
        for it in then
    )


def test_causes_have_look_alikes_and_a_check(desk: PlantDesk) -> None:
    """R30: each cause names two others it is taken for, and what could prove it wrong."""
    for cause in desk.plant.causes.values():
        if cause.kind not in ("unlisted", "normal"):
            assert cause.check is not None, cause.id
            assert len(cause.look_alikes) >= 2, cause.id


def test_sprays_stand_behind_a_check(
    desk: PlantDesk,
    shown: tuple[tuple[Findings, ResultView], ...],
    results: dict[str, ResultView],
) -> None:
    """R31 (Pauker and Kassirer 1980): no walk opens a spray without check and share."""
    opened = shut = 0
    for findings, view in shown:
        for rung in (it for it in view.rungs if it.tier in SPRAY_TIERS):
            assert not rung.check_first & rung.ask_first, findings
            if rung.check_first or rung.ask_first:
                shut += 1
                assert rung.check_first == bool(view.check and view.check.open), findings
                continue
            ranking = rank(desk.evidence, findings)
            check = desk.plant.causes[ranking.top].check
            assert check_state(check, findings) == "passed", findings
            assert ranking.top_share >= NEEDED_SHARE[rung.tier], findings
            opened += 1
    assert opened > 20
    assert shut > 20
    for end, view in results.items():
        for rung in (it for it in view.rungs if it.tier in SPRAY_TIERS):
            passed = view.check is not None and view.check.passed
            assert passed or rung.check_first or rung.ask_first, end


def test_the_gentlest_step_comes_first(results: dict[str, ResultView]) -> None:
    """R31: on every result's ladder, no spray stands above a gentler rung."""
    for end, view in results.items():
        tiers = [
            rung.tier in SPRAY_TIERS for rung in view.rungs if rung.tier != "next-winter"
        ]
        assert tiers == sorted(tiers), end


TICKING = "canna/result/#eaten.beetle-shiny.lacy"  # its plan has steps that ticks close


def test_a_tick_moves_nobody(browser: Browser, site: str) -> None:
    """R12 (WCAG 3.2.2): a tick changes neither the page nor its address, nor the focus."""
    page = browser.new_page()
    page.goto(site + TICKING)
    page.locator("summary", has=page.locator("#plan")).click()
    ticks = page.locator(".tick input")
    ticks.first.wait_for()
    before = page.url
    for at in range(ticks.count()):
        ticks.nth(at).focus()
        page.keyboard.press("Space")
        assert page.url == before
        assert page.evaluate("document.activeElement.matches('.tick input')")
    page.close()


@pytest.mark.parametrize(
    "address",
    ["canna/result/#rolled", "season/", "season/raleigh-nc/", "mixing/"],
)
def test_text_that_changes_is_announced(browser: Browser, site: str, address: str) -> None:
    """R13 (WCAG 4.1.3): every page whose text a script changes has a status region."""
    page = browser.new_page()
    page.goto(site + address)
    page.locator("main [role=status]").first.wait_for(state="attached")
    page.close()
