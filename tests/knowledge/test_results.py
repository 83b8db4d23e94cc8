"""A result never contradicts itself: its parts agree, whatever people have told."""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pytest

from bedside.cli import main
from bedside.commands.trial import told as tried
from bedside.model.records import FirstStep
from bedside.pages.frame.addresses import cause_address
from bedside.pages.frame.desk import PlantDesk, Site
from bedside.pages.frame.views import AlsoView, LookAnswerView, ResultView
from bedside.pages.walk.result_pages import end_view, result_view
from bedside.reason import scale
from bedside.reason.evidence import ANYWHERE, Context, Findings
from bedside.reason.findings import can_be_seen, findings_of, format_fragment
from bedside.reason.next_look import next_look
from bedside.reason.outcome import Outcome, denies, outcome
from bedside.reason.scale import sureness
from bedside.reason.steps import check_state, gate, spray_tiers
from tests.conftest import ROOT
from tests.knowledge.told_findings import told_findings
from tests.reason.test_tree import Rules, rules_of

SHOWN = re.compile(r"(?P<word>[A-Z][a-z ]+) \((?:(?P<n>\d) in 10|fewer than 1 in 10)\)")
FEWEST = 500


@dataclass(frozen=True, kw_only=True, slots=True)
class Told:
    """What somebody told, what that comes to, and the page that says so."""

    findings: Findings
    found: Outcome
    view: ResultView

    def __str__(self) -> str:
        return format_fragment(self.findings) or "nothing"


@pytest.fixture(scope="module")
def rules(desk: PlantDesk) -> Rules:
    """What the records say of asking, read without any of the code that asks."""
    return rules_of(desk.plant)


@pytest.fixture(scope="module")
def results(made: Site, desk: PlantDesk) -> tuple[Told, ...]:
    """Results of walks, cases, letters and old links."""
    found = tuple(result_of(made, it) for it in told_findings(desk.plant, desk.evidence))
    assert len(found) >= FEWEST
    return found


def result_of(made: Site, findings: Findings) -> Told:
    desk = made.desks["canna"]
    return Told(
        findings=findings,
        found=outcome(desk.evidence, findings),
        view=result_view(made, desk, findings),
    )


def told(made: Site, *answers: str) -> Told:
    parsed = findings_of(made.desks["canna"].evidence, answers)
    assert not parsed.notes
    return result_of(made, parsed.findings)


def first_step(desk: PlantDesk, it: Told) -> FirstStep:
    return desk.plant.first_steps[it.found.step.step]


def rows_of(view: ResultView) -> Iterator[LookAnswerView]:
    """Every answer of a look that a page offers."""
    if view.look:
        yield from view.look.answers
    if view.check:
        yield from (*view.check.fits, *view.check.unsure, *view.check.other)


def listed(view: ResultView) -> tuple[AlsoView, ...]:
    return (*view.within, *view.also)


# What it asks for.


def test_what_is_called_something_else_names_another_cause(
    desk: PlantDesk, results: tuple[Told, ...]
) -> None:
    """No row under "something else" leaves the cause first that the page names."""
    rows = 0
    for it in results:
        for row in it.view.check.other if it.view.check else ():
            given = findings_of(desk.evidence, row.fragment.split(".")).findings
            after = outcome(desk.evidence, given)
            assert after.head.kind != "open", (str(it), row.says)
            assert it.found.head.id not in (after.head.id, *after.head.within), str(it)
            assert after.ranking.top != it.found.head.id, (str(it), row.says)
            rows += 1
    assert rows


def test_what_fits_leaves_the_cause_named(
    desk: PlantDesk, results: tuple[Told, ...]
) -> None:
    """A row under "it fits" names the same cause, and passes the check."""
    rows = 0
    for it in results:
        for row in it.view.check.fits if it.view.check else ():
            given = findings_of(desk.evidence, row.fragment.split(".")).findings
            after = outcome(desk.evidence, given)
            assert after.head.id == it.found.head.id, (str(it), row.says)
            assert after.check is not None
            assert after.check.state == "passed", (str(it), row.says)
            rows += 1
    assert rows > 50


def test_each_row_leads_to_what_it_says(made: Site, results: tuple[Told, ...]) -> None:
    """Whoever takes a look and comes back finds the name and the number that stood there;
    where none stood, those of before, unless the row only promised to be less sure.

    Links of old may tell what an answer now denies; then the result leaves that out.
    """
    desk, rows = made.desks["canna"], 0
    for it in results[::5]:
        for row in rows_of(it.view):
            parsed = findings_of(desk.evidence, row.fragment.split("."))
            if not parsed.notes:
                after = result_view(made, desk, parsed.findings)
                name = after.head.name or made.words["still_open"]
                if row.then:
                    assert (row.then, row.sure) == (name, after.head.sure), str(it)
                elif row not in (it.view.check.unsure if it.view.check else ()):
                    assert after.head.name == it.view.head.name, str(it)
                    assert after.head.tenths == it.view.head.tenths, str(it)
                rows += 1
    assert rows > 300


def test_no_look_is_offered_that_cannot_be_taken(
    desk: PlantDesk, rules: Rules, results: tuple[Told, ...]
) -> None:
    """Not one that the step rules out, that was answered, or that makes no sense."""
    looks = checks = 0
    for it in results:
        barred = first_step(desk, it).rules_out
        if it.found.look:
            sign = it.found.look.sign
            assert sign not in barred, (str(it), sign)
            assert not rules.fault(it.findings, sign), (str(it), sign)
            looks += 1
        if it.view.check and it.view.check.open:
            sign = desk.evidence.checks[it.found.head.id].sign
            assert sign not in barred, (str(it), sign)
            assert it.findings.get(sign) is None, (str(it), sign)
            others = {name: said for name, said in it.findings.items() if name != sign}
            fault = rules.fault(others, sign)
            if fault.startswith("needs "):  # seen together with what it needs, if untold
                assert others.get(fault.removeprefix("needs ")) is None, (str(it), sign)
            else:
                assert not fault, (str(it), sign)
            checks += 1
    assert looks > 100
    assert checks > 30


def test_a_look_that_leaves_the_cause_leaves_its_step(
    made: Site, desk: PlantDesk, results: tuple[Told, ...]
) -> None:
    """The same cause named is the same thing to do, where its own step may be taken."""
    kept = 0
    for it in results:
        for then in it.found.look.answers if it.found.look else ():
            if it.found.look and it.view.head.cause and then.head.id == it.found.head.id:
                after = {**it.findings, it.found.look.sign: then.answer}
                if may_take_its_own(desk, it.findings) and may_take_its_own(desk, after):
                    assert then.step == it.found.step.step, (str(it), then.answer)
                    kept += 1
    assert kept > 200


# What it says to do.


def test_no_step_asks_what_was_told(desk: PlantDesk, results: tuple[Told, ...]) -> None:
    """A step that has a look at what was told has words for the answer, and says them."""
    seen = 0
    for it in results:
        step = first_step(desk, it)
        answers = {it.findings.get(sign) for sign in step.asks} - {None}
        assert answers <= set(step.do_after), (str(it), step.id)
        if answers:
            assert it.view.now.do in {step.do_after[str(said)] for said in answers}, str(it)
            seen += 1
        else:
            assert it.view.now.do == step.says(it.findings.values()), str(it)
    assert seen > 50


def test_a_named_cause_has_its_own_step(desk: PlantDesk, results: tuple[Told, ...]) -> None:
    """Unless it may harm under the others, looks at what was told otherwise, or leaves all
    as it is where that is not right for most."""
    own = 0
    for it in (it for it in results if it.view.head.cause):
        if may_take_its_own(desk, it.findings):
            cause = desk.plant.causes[it.found.head.id]
            assert it.found.step.step == cause.first_step, str(it)
            own += 1
    named = sum(it.view.head.cause for it in results)
    assert own > 0.9 * named > 100


def may_take_its_own(desk: PlantDesk, findings: Findings) -> bool:
    """Whether nothing speaks against the first step of the cause that is named."""
    found = outcome(desk.evidence, findings)
    step = desk.plant.first_steps[desk.plant.causes[found.head.id].first_step]
    told = {findings.get(sign) for sign in step.asks} - {None}
    harmed = sum(
        found.ranking.share(cause.id)
        for cause in desk.plant.causes.values()
        if step.id in cause.harmed_by
    )
    check = desk.evidence.checks.get(found.head.id)
    failed = check_state(check, findings) == "failed"
    idle = step.idle and (failed or share_right(desk, found, step) < scale.IDLE_FROM)
    return told <= set(step.do_after) and harmed <= scale.HARM_BORNE and not idle


def share_right(desk: PlantDesk, found: Outcome, step: FirstStep) -> float:
    """The share of the causes for which a step is right."""
    return sum(
        found.ranking.share(cause.id)
        for cause in desk.plant.causes.values()
        if step.id in (cause.first_step, *cause.also_right)
        and step.id not in cause.harmed_by
    )


def test_no_named_cause_gets_the_step_of_another(
    desk: PlantDesk, results: tuple[Told, ...]
) -> None:
    """What is done fits what is named; else people are asked to show it to us."""
    asked = 0
    for it in (it for it in results if it.view.head.cause):
        cause = desk.plant.causes[it.found.head.id]
        if it.found.step.step not in (cause.first_step, *cause.also_right):
            assert it.found.step.step == desk.plant.causes["unlisted"].first_step, str(it)
            asked += 1
    assert asked


def test_every_spray_can_open(desk: PlantDesk, made: Site) -> None:
    """Who tells what is usual with a cause, is sure and passes its check, may spray."""
    tiers = spray_tiers(desk.plant, made.knowledge.controls)
    opened = 0
    for cause in (id_ for id_, wanted in tiers.items() if wanted):
        findings = dict(usual_walk(desk, cause))
        check = desk.evidence.checks[cause]
        if check_state(check, findings) == "open":
            assert can_be_seen(desk.evidence, findings, check.sign), (cause, check.sign)
            findings[check.sign] = check.passes[0]
        for tier in tiers[cause]:
            assert gate(check, tier, findings, share=1.0).open, (cause, tier)
            opened += 1
    assert opened > 10


def usual_walk(desk: PlantDesk, cause: str) -> Findings:
    """The walk of somebody who sees of each sign what is likeliest with a cause."""
    row = desk.evidence.causes.index(cause)
    findings: dict[str, str | None] = {}
    while look := next_look(desk.evidence, desk.plant.tree, findings):
        table = desk.evidence.signs[look.sign]
        findings[look.sign] = table.answers[int(table.share[row].argmax())]
    return findings


def test_a_step_does_no_harm_where_it_is_shown(
    desk: PlantDesk, results: tuple[Told, ...]
) -> None:
    """A step that a named cause forbids is never the one on its page."""
    for it in (it for it in results if it.view.head.cause):
        assert it.found.step.step not in desk.plant.causes[it.found.head.id].harmed_by


def test_doing_nothing_is_advised_only_where_nothing_is_wrong(
    desk: PlantDesk, results: tuple[Told, ...]
) -> None:
    """A step that leaves all as it is needs something named and most causes for it."""
    idle = 0
    for it in results:
        step = first_step(desk, it)
        if step.idle:
            assert it.view.head.named, str(it)
            assert share_right(desk, it.found, step) >= 0.5, str(it)
            idle += 1
    assert idle > 20


def test_no_control_stands_twice_on_a_ladder(
    made: Site, desk: PlantDesk, results: tuple[Told, ...]
) -> None:
    """One line a control, on results and on the pages of ends."""
    ends = [end_view(made, desk, end) for end in desk.plant.tree.ends]
    for view in (*ends, *(it.view for it in results)):
        steps = [step.address for rung in view.rungs for step in rung.steps]
        assert len(steps) == len(set(steps)), view.fragment


# What it says of sureness, and of other causes.


def test_each_tenth_has_one_word_on_a_page(made: Site, results: tuple[Told, ...]) -> None:
    """The same number has the same word in the head, in lists and in rows of looks."""
    words = made.words["sureness"]
    seen: dict[int, str] = {}
    for it in results:
        head, rows = it.view.head, rows_of(it.view)
        said = (head.sure, *(e.sure for e in listed(it.view)), *(e.sure for e in rows))
        for text in filter(None, said):
            found = SHOWN.fullmatch(text)
            assert found, text
            tenths = int(found["n"] or 0)
            assert seen.setdefault(tenths, found["word"]) == found["word"], str(it)
            assert found["word"] == words[sureness(tenths / 10).word], text
        for each in listed(it.view):
            assert f"{each.tenths} in 10" in each.sure or each.tenths == 0, str(it)
    assert set(seen) == set(range(scale.MOST_TENTHS + 1))


def test_who_stands_alone_and_is_not_sure_is_told_so(results: tuple[Told, ...]) -> None:
    """Where nothing else is listed, the page says why, unless it is as sure as it gets."""
    alone = 0
    for it in (it for it in results if it.view.head.named):
        lonely = not it.view.also and it.view.head.tenths < scale.MOST_TENTHS
        assert it.view.alone == lonely, str(it)
        alone += lonely
    assert alone


def test_the_page_says_what_the_command_line_says(
    made: Site, desk: PlantDesk, results: tuple[Told, ...]
) -> None:
    """Name, word, number, step and look are those of `bedside try --json`."""
    for it in results:
        said = tried(desk.plant, desk.evidence, it.findings, ANYWHERE)
        assert said["unsure"] == it.view.head.open, str(it)
        assert said["first_step"]["do"] == it.view.now.do, str(it)
        look = said["look"]["question"] if said["look"] else None
        assert look == (it.view.look.question if it.view.look else None), str(it)
        if it.view.head.cause:
            row = next(each for each in said["causes"] if each["id"] == said["named"])
            assert desk.plant.causes[row["id"]].called == it.view.head.name
            assert sure(made, row["sureness"], row["in_ten"]) == it.view.head.sure, str(it)
        elif it.view.head.family:
            row = next(each for each in said["families"] if each["id"] == said["named"])
            shown = sureness(row["share"])
            assert row["called"] == it.view.head.name
            assert sure(made, shown.word, shown.tenths) == it.view.head.sure, str(it)


def sure(made: Site, word: str, tenths: int) -> str:
    form = made.words["in_ten"] if tenths else made.words["under_one"]
    return str(form).format(word=made.words["sureness"][word], tenths=tenths)


@pytest.mark.parametrize("answers", ["rolled whorl-shut stitches", "eaten animal"])
def test_the_command_itself_says_it(
    made: Site, answers: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is printed is what was compared."""
    it = told(made, *answers.split())
    words = ["--root", str(ROOT), "try", "canna", *answers.split(), "--json"]
    assert main(words) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["findings"] == it.findings
    assert said["named"] == it.found.head.id
    assert said["causes"][0]["in_ten"] == sureness(it.found.ranking.top_share).tenths
    assert said["first_step"]["do"] == it.view.now.do


def test_what_an_answer_denies_is_not_listed(
    desk: PlantDesk, results: tuple[Told, ...]
) -> None:
    """Below 2 in 10, unless all is denied: then what comes nearest is told."""
    by_address = {cause_address(it): it for it in desk.evidence.causes}
    denied = 0
    for it in results:
        nearest = set(it.found.head.within[:2])
        if it.view.head.open and len(it.view.also) == 2:
            nearest = set(it.found.ranking.first(2))
        for each in listed(it.view):
            cause = by_address[each.address]
            share = it.found.ranking.share(cause)
            if denies(desk.evidence, it.findings, cause):
                assert share >= 0.2 or cause in nearest, (str(it), cause)
                denied += 1
    assert denied > 10


def test_none_of_these_is_a_reason_only_where_it_is_clearly_likelier(
    desk: PlantDesk, results: tuple[Told, ...]
) -> None:
    """An answer that most causes would get speaks for none of them."""
    none = {sign.none for sign in desk.evidence.signs.values() if sign.none}
    evidence, reasons = desk.evidence, 0
    for it in results:
        row = evidence.causes.index(it.found.ranking.top)
        rest = np.delete(evidence.prior, row)
        for reason in (each for each in it.found.reasons if each.answer in none):
            sign, column = evidence.answers[reason.answer]
            seen = evidence.signs[sign].read[:, column]
            times = seen[row] / (np.delete(seen, row) @ rest / rest.sum())
            assert times >= 1.25 if reason.supports else times <= 0.8, str(it)
            reasons += 1
    assert reasons > 10


def test_reasons_are_answers_that_were_given(made: Site, results: tuple[Told, ...]) -> None:
    """A page claims no look that nobody took, and gives none while nothing is named."""
    for it in results:
        reasons = (*it.view.reasons_for, *it.view.reasons_against)
        said = " ".join(each.answer for each in it.view.told)
        assert all(each.says.rpartition("? ")[2] in said for each in reasons), str(it)
        assert not (reasons and it.view.head.open), str(it)


# Scenes: somebody stands in the bed, and the page must be right.


def test_a_gnawed_eye_is_no_slow_start(made: Site, desk: PlantDesk) -> None:
    """Something below the soil ate it; waiting for warmth would only feed that."""
    findings: dict[str, str | None] = dict(
        told(made, "down", "nothing-up", "eye-gnawed").findings
    )
    while True:
        it = result_of(made, findings)
        assert it.found.ranking.top != "slow-start", str(it)
        assert it.view.head.open or it.found.head.id == "eaten-before-emerging", str(it)
        look = next_look(desk.evidence, desk.plant.tree, findings)
        if look is None:
            break
        findings[look.sign] = None  # nothing else is told


def test_a_gnawed_eye_in_warm_moist_soil_is_named(made: Site) -> None:
    """With the soil ruled out as well, what ate it is named."""
    it = told(made, "down", "nothing-up", "eye-gnawed", "soil-moist")
    assert it.found.head.id == "eaten-before-emerging"


@pytest.mark.parametrize(
    "answers",
    ["down limp-shoot base-firm", "down limp-shoot base-firm heat", "down base-firm"],
)
def test_a_firm_foot_is_no_southern_blight(made: Site, answers: str) -> None:
    """That blight rots the foot; where it is firm and whole, it is not on the page."""
    page = told(made, *answers.split()).view
    assert cause_address("southern-blight") not in {it.address for it in listed(page)}
    assert page.head.name != "southern blight"


@pytest.mark.parametrize(
    "answers", ["bloom-off no-stalk sun-thrice", "bloom-off fewer sun-thrice", "sun-thrice"]
)
def test_full_sun_all_day_is_not_too_little(made: Site, answers: str) -> None:
    """Who has sun at all three times is not told to move the clump into the sun."""
    it = told(made, *answers.split())
    assert cause_address("too-little-sun") not in {e.address for e in listed(it.view)}
    assert it.found.head.id != "too-little-sun"
    assert it.found.step.step != "move-in-spring"


@pytest.mark.parametrize(
    "answers",
    ["marked streaks stripes-mess", "marked streaks stripes-mess tap-none later-same"],
)
def test_a_virus_is_set_apart_and_not_thrown_away(made: Site, answers: str) -> None:
    """Nobody destroys on looks: set apart, share nothing, ask."""
    it = told(made, *answers.split())
    assert it.found.head.id == "virus"
    assert it.found.step.step == "set-apart"


@pytest.mark.parametrize(
    "answers", ["rolled whorl-shut slides-free", "rolled whorl-shut knotted animal-none"]
)
def test_a_new_leaf_is_left_shut(made: Site, answers: str) -> None:
    """A clean, tight spear opens by itself; nobody is told to unroll it."""
    it = told(made, *answers.split())
    assert it.found.head.id == "new-leaf"
    assert it.found.step.step == "leave-new-leaf"


def test_threads_are_never_left_shut(desk: PlantDesk) -> None:
    """Whoever saw threads opens the leaf or asks, wherever and whenever it is."""
    seen = findings_of(desk.evidence, ["whorl-shut", "stitches", "animal-none"]).findings
    zones = ["", *desk.evidence.context]
    seasons = ["", "spring", "summer", "autumn"]
    for context in (Context(zone=z, season=s) for z in zones for s in seasons):
        for findings in (seen, {"trouble": "rolled", **seen}):
            step = outcome(desk.evidence, findings, context).step.step
            assert not desk.plant.first_steps[step].idle, (context, findings)


@pytest.mark.parametrize(
    "answers",
    ["marked yellow-all lowest-two", "marked dry-edges lowest-two", "marked lowest-two"],
)
def test_old_low_leaves_are_nothing_to_bag_or_wash(made: Site, answers: str) -> None:
    """A leaf that is only old needs no bag, and no clean hands after it."""
    it = told(made, *answers.split())
    assert it.found.head.id == "old-leaf"
    said = " ".join((it.view.now.do, *it.view.now.how)).lower()
    assert not re.search(r"\b(bag|bin|wash)\b", said), said


@pytest.mark.parametrize(
    "answers",
    [
        "eaten animal-none edge-bites tops-gone",
        "eaten animal-none tops-gone others-too",
        "down cut-shoot cut-gone others-too overnight",
    ],
)
def test_deer_are_not_kept_off_with_collars(made: Site, answers: str) -> None:
    """A ring of card stops a cutworm, and no deer: they get wire."""
    it = told(made, *answers.split())
    assert it.found.ranking.top == "deer-rabbit"
    assert it.found.step.step != "guard-shoots"
    steps = [f"{each.name}: {each.in_short}" for r in it.view.rungs for each in r.steps]
    said = " ".join((it.view.now.do, *it.view.now.how, *steps)).lower()
    assert not re.search(r"cutworm|\bcard\b", said), said
    assert "wire" in said


def test_threads_outweigh_a_normal_new_leaf_everywhere(desk: PlantDesk) -> None:
    """A leaf that threads hold shut is never left alone, though no caterpillar was seen."""
    for threads in ("stitches", "web-thick"):
        told = ["rolled", "whorl-shut", threads, "animal-none"]
        findings = findings_of(desk.evidence, told).findings
        for zone, seasons in desk.evidence.context.items():
            for season in seasons:
                found = outcome(desk.evidence, findings, Context(zone=zone, season=season))
                shares = found.ranking
                assert shares.share("lesser-leafroller") > shares.share("new-leaf")
                assert found.step.step != "leave-new-leaf"


@pytest.mark.parametrize("coat", ["worm-furry", "worm-spiny"])
def test_fur_and_spines_are_not_touched(desk: PlantDesk, coat: str) -> None:
    """Soft fur hides the worst sting of the South: neither is picked off by hand."""
    told = ["eaten", "worm-seen", "worm-open", coat]
    found = outcome(desk.evidence, findings_of(desk.evidence, told).findings, ANYWHERE)
    assert found.step.step in {"cut-leaf-no-touch", "lift-off-with-stick"}
