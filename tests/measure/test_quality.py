"""The report: metrics against library examples, and measures against counting by hand."""

import json
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise, product

import numpy as np
import pytest
from sklearn.metrics import top_k_accuracy_score

from bedside.measure.advice import easier_looks, idle_questions, idle_signs, unseparated
from bedside.measure.asking import finished, walked
from bedside.measure.cases import score_cases
from bedside.measure.gardeners import Crowd, Stand, careful, draw_gardeners, hasty
from bedside.measure.quality import measure
from bedside.measure.report import (
    AT_LEAST,
    AT_MOST,
    AT_ONCE,
    EVERY,
    FINISHED,
    LINKS,
    MORE,
    NOTHING,
    RANDOM,
    TELLING,
    TREE,
    Quality,
    Way,
    goals,
)
from bedside.measure.report_text import as_json, render_text
from bedside.measure.scores import (
    Verdicts,
    brier,
    judge,
    judged,
    log_score,
    overstated,
    reliability,
    score,
    stands,
    wilson,
)
from bedside.measure.wrong_answers import one_wrong_answer
from bedside.model.records import Plant
from bedside.reason import scale
from bedside.reason.evidence import Evidence, StepTable, Table, weigh
from bedside.reason.next_look import usual_walk
from bedside.reason.ranking import headline, rank, ranked
from bedside.reason.scale import sureness
from bedside.reason.steps import choose_first_step
from tests.factories import (
    make_case,
    make_cause,
    make_check,
    make_evidence,
    make_sign,
    make_tree,
)
from tests.made_up_plants import chain_of, made_up_plant, plant_of, sensitive_plant

PER_CAUSE = 20  # gardeners drawn for each cause of a made-up plant


@pytest.mark.parametrize(
    ("hits", "count", "low", "high"),
    [
        (262, 770, 30.8, 37.4),  # Semigran et al. 2015 print 31 to 37
        (36, 40, 76.9, 96.0),
        (90, 100, 82.6, 94.5),
        (180, 200, 85.1, 93.4),
    ],
)
def test_intervals_are_wilsons(hits: int, count: int, low: float, high: float) -> None:
    """Wilson's 95 % interval, in percent to one decimal."""
    found = [round(100 * edge, 1) for edge in wilson(hits, count)]
    assert found == [low, high]


def test_brier_score_of_the_library_examples() -> None:
    """scikit-learn's documentation: 0.12 over three classes, 0.0375 on one side of two."""
    three = np.array([[0.8, 0.1, 0.1], [0.1, 0.8, 0.1], [0.2, 0.2, 0.6]])
    assert brier(three, [0, 1, 2]) == pytest.approx(0.12)
    chance = np.array([0.1, 0.9, 0.8, 0.3])
    two = np.column_stack([1 - chance, chance])
    assert brier(two, [0, 1, 1, 0]) == pytest.approx(2 * 0.0375)


def test_log_score_of_the_library_example() -> None:
    """scikit-learn's documentation: 0.216162 nats for ham and spam."""
    shares = np.array([[0.1, 0.9], [0.9, 0.1], [0.8, 0.2], [0.35, 0.65]])
    assert log_score(shares, [1, 0, 0, 1]) == pytest.approx(0.216162, abs=1e-6)


def toy_verdicts(shares: Table) -> Verdicts:
    evidence = make_evidence(
        causes=tuple("abcdef"[: shares.shape[1]]),
        prior=np.full(shares.shape[1], 1 / shares.shape[1]),
        signs={},
        steps=(
            StepTable(
                id="wait",
                right=np.ones(shares.shape[1], dtype=bool),
                harms=np.zeros(shares.shape[1], dtype=bool),
            ),
        ),
    )
    return judge(evidence, shares, [{}] * len(shares))


def test_hits_are_those_of_the_reference_library() -> None:
    """First and first-three hits on made-up shares equal scikit-learn's top-k accuracy."""
    draw = np.random.default_rng(0)
    shares = draw.dirichlet(np.ones(6), size=200)
    truth = draw.integers(0, 6, size=200)
    found = score(toy_verdicts(shares), np.eye(6)[truth])
    for k, ours in ((1, found.first), (3, found.three)):
        theirs = top_k_accuracy_score(truth, shares, k=k, labels=range(6))
        assert ours == pytest.approx(theirs)


def test_what_is_judged_is_what_pages_say() -> None:
    """Judged in one go, each ranking is named, and its step chosen, as a page does it."""
    evidence = weigh(sensitive_plant(5, causes=20, signs=8))
    assert evidence.families
    assert any(step.idle for step in evidence.steps)
    draw = np.random.default_rng(2)
    shares = draw.dirichlet(np.full(len(evidence.causes), 0.25), size=500)
    answers = sorted(evidence.answers)
    found = [
        {evidence.answers[it][0]: it for it in draw.choice(answers, 4).tolist()}
        for _ in shares
    ]
    verdicts = judge(evidence, shares, found)
    kinds = set()
    for place, vector in enumerate(shares):
        ranking = ranked(evidence, vector.copy())
        said = headline(evidence, ranking)
        kinds.add(said.kind)
        named = () if said.kind == "open" else said.within or (said.id,)
        shown = sureness(said.share)
        assert list(verdicts.named[place]) == [c in named for c in evidence.causes]
        assert verdicts.tenths[place] == (shown.tenths if named else -1)
        assert verdicts.sure[place] == pytest.approx(said.share)
        very_likely = bool(named) and shown.word == "very-likely"
        assert verdicts.confident[place] == very_likely
        choice = choose_first_step(evidence, ranking, found[place])
        step = next(it for it in evidence.steps if it.id == choice.step)
        assert verdicts.right[place].tolist() == (step.right & ~step.harms).tolist()
        assert verdicts.harmful[place].tolist() == step.harms.tolist()
        assert verdicts.idle[place] == step.idle
    assert kinds == {"open", "cause", "family"}


def test_what_is_shown_as_very_likely_and_is_not_true_is_sure_and_wrong() -> None:
    """Shown 9 in 10 from .85 on; a family that holds the truth is not wrong."""
    shares = np.array([[0.86, 0.14], [0.84, 0.16]])
    second = np.array([[0.0, 1.0], [0.0, 1.0]])
    assert score(toy_verdicts(shares), second).confident_wrong == 0.5
    evidence = weigh(
        plant_of(
            (make_sign("leaf", ("holes", "spots")),),
            [make_cause(name, family="biters") for name in ("moth", "slug")]
            + [make_cause("rot")],
        )
    )
    kin = np.array([[0.45, 0.1, 0.45]])  # in the order of their ids: moth, rot, slug
    verdicts = judge(evidence, kin, [{}])
    assert score(verdicts, np.array([[0.0, 0.0, 1.0]])).confident_wrong == 0
    assert score(verdicts, np.array([[0.0, 1.0, 0.0]])).confident_wrong == 1


def test_who_is_told_to_leave_all_as_it_is_wrongly_is_counted() -> None:
    """An idle step is wrong for each cause for which it is not right, harmed or not."""
    both = np.array([True, True])
    step = StepTable(id="leave", right=np.array([True, False]), harms=~both)
    for idle, wrong in ((True, 0.4), (False, 0.0)):
        evidence = make_evidence(
            causes=("new", "rot"),
            prior=np.ones(2) / 2,
            signs={},
            steps=(replace(step, idle=idle),),
        )
        verdicts = judge(evidence, np.array([[0.7, 0.3]]), [{}])
        found = score(verdicts, np.array([[0.6, 0.4]]))
        assert found.idle_wrong == pytest.approx(wrong)


def test_reliability_compares_what_is_shown_with_what_is_true() -> None:
    """Shown 8 in 10 and true for half of them: overstated by .3."""
    shares = np.array([[0.8, 0.2], [0.2, 0.8]])
    reach = np.array([[0.25, 0.25], [0.25, 0.25]])
    rows = reliability(toy_verdicts(shares), reach)
    assert [(row.tenths, row.gardeners, row.true) for row in rows] == [(8, 1.0, 0.5)]
    assert overstated(rows) == pytest.approx(0.3)


def two_causes() -> Plant:
    """One easy look splits two causes; each has its own first step, wrong for the other."""
    sign = make_sign("leaf", ("holes", "spots"))
    causes = (
        make_cause("moth", evidence={"leaf": {"holes": "always"}}, first_step="pick",
                   check=make_check()),
        make_cause("rot", evidence={"leaf": {"spots": "always"}}, first_step="dry",
                   harmed_by=("pick",)),
    )  # fmt: skip
    case = make_case(findings=("holes",), cause="moth", zone="", season="")
    tree = make_tree({"leaf": {"holes": "moth", "otherwise": "rot"}})
    return plant_of((sign,), causes, cases=(case,), tree=tree)


def test_one_question_is_scored_as_by_hand() -> None:
    """An easy sign is read right .92 of the time; who can't tell gets one of two."""
    shown = 0.92 * 0.97 / 0.98 + 0.08 * 0.01 / 0.98  # says holes when it is the moth
    tell = 1 - scale.CANT_TELL["easy"]
    found = measure(two_causes(), {})
    ways = found.readers[0].ways
    # By links, who can't tell comes where the rot leads.
    assert ways[LINKS].score.first == pytest.approx(tell * shown + (1 - tell) / 2)
    assert ways[LINKS].error_first == 0
    for way in (ways[TREE], ways[FINISHED], ways[TELLING], ways[EVERY], ways[AT_ONCE]):
        off = way.score.first - (tell * shown + (1 - tell) / 2)
        assert abs(off) < 4 * way.error_first
        assert way.looks == pytest.approx(1)
        assert way.longest == 1
    assert ways[NOTHING].score.first == 0.5
    assert ways[NOTHING].looks == 0
    assert found.bits == pytest.approx(1)


def exact_score(evidence: Evidence, crowd: Crowd) -> tuple[float, float]:
    """Hits and right steps with every sign asked, over all that gardeners can answer."""
    signs = list(evidence.signs.values())
    found = []
    for said in product(*((*sign.answers, None) for sign in signs)):
        reach = np.ones(len(evidence.causes))
        for place, (sign, answer) in enumerate(zip(signs, said, strict=True)):
            column = sign.answers.index(answer) if answer else 0
            tells = crowd.says[place, column] * (1 - sign.cant_tell)
            reach = reach * (tells if answer else sign.cant_tell)
        findings = dict(zip(evidence.signs, said, strict=True))
        shares = rank(evidence, findings).vector
        found.append(Stand(findings=findings, ended=True, shares=shares, reach=reach))
    places = judged(evidence, found)
    assert places.reach.sum(axis=0) == pytest.approx(np.ones(len(evidence.causes)))
    scored = score(places.verdicts, places.at_end * evidence.prior)
    return scored.first, scored.right


def test_drawn_measures_equal_the_exact_ones_where_both_can_be_had() -> None:
    """On a plant of four free signs all looks at once come out as exact, but for chance."""
    plant = made_up_plant(4, causes=6, signs=4)
    assert not any(sign.needs for sign in plant.signs.values())
    evidence = weigh(plant)
    for reader, crowd in zip(
        measure(plant, {}, 1000).readers, (careful, hasty), strict=True
    ):
        first, right = exact_score(evidence, crowd(evidence))
        drawn = reader.ways[AT_ONCE]
        assert abs(drawn.score.first - first) < 4 * drawn.error_first
        assert abs(drawn.score.right - right) < 4 * drawn.error_right
        assert 0 < drawn.error_first < 0.01


@pytest.fixture(scope="module")
def report() -> Quality:
    return measure(sensitive_plant(8, causes=25, signs=25), {}, PER_CAUSE)


def test_the_hasty_are_never_shown_much_more_than_is_true(report: Quality) -> None:
    """Shown n in 10 exceeds the truth by at most .05 for the hasty, but for chance."""
    assert report.readers[1].reader == "hasty"
    found = report.readers[1].ways[FINISHED]
    assert found.overstated == overstated(found.reliability)
    assert len(found.reliability) > 3
    for row in found.reliability:
        gardeners = row.gardeners * PER_CAUSE * report.causes
        chance = 3 * np.sqrt(row.true * (1 - row.true) / gardeners)
        assert row.tenths / 10 - row.true <= 0.05 + chance


def test_more_looks_tell_more(report: Quality) -> None:
    """Hits rise from look to look, but for chance, and end at what the walk comes to."""
    for reader in report.readers:
        for name in (TREE, FINISHED, TELLING):
            way = reader.ways[name]
            hits = [point.first for point in way.curve]
            assert len(hits) == way.longest + 1
            assert all(b >= a - 0.02 for a, b in pairwise(hits))
            assert hits[-1] > hits[0]
            assert way.curve[-1] == way.score
            assert way.curve[0] == reader.ways[NOTHING].score


def test_each_way_of_asking_does_better_than_the_one_below(report: Quality) -> None:
    """Nothing, the tree, the tree finished, more looks, every look: hits rise."""
    for reader in report.readers:
        order = (NOTHING, TREE, FINISHED, MORE, EVERY)
        hits = [reader.ways[way].score.first for way in order]
        assert hits == sorted(hits)
        assert hits[2] > hits[1] + 0.1
        looks = [reader.ways[way].looks for way in order]
        assert looks == sorted(looks)
        assert reader.ways[FINISHED].longest <= scale.MOST_LOOKS
        assert reader.ways[MORE].longest <= scale.MOST_LOOKS + scale.MORE_LOOKS
        assert reader.ways[RANDOM].score.first < hits[2]
        assert reader.ways[RANDOM].looks <= reader.ways[FINISHED].looks
        assert reader.ways[AT_ONCE].looks > reader.ways[EVERY].looks


def test_shares_of_every_look_are_of_the_same_run(report: Quality) -> None:
    """A way's share of every look is its score over that of all looks at once."""
    for reader in report.readers:
        most = reader.ways[AT_ONCE].score
        for way in reader.ways.values():
            assert way.of_every_right * most.right == pytest.approx(way.score.right)
            assert way.of_every_first * most.first == pytest.approx(way.score.first)


def test_shares_of_a_score_add_up(report: Quality) -> None:
    """Right, wasted and harmful first steps are all there are, and three hold the first."""
    for reader in report.readers:
        for way in reader.ways.values():
            for found in (way.score, way.equal, *way.curve):
                assert found.right + found.wasted + found.harmful == pytest.approx(1)
                assert found.first <= found.three
                assert found.idle_wrong <= 1 - found.right + 1e-12


def test_scores_by_cause_give_the_whole(report: Quality) -> None:
    """The mean over causes is the score with all causes equally common."""
    for reader in report.readers:
        mean = sum(cause.score.first for cause in reader.causes) / len(reader.causes)
        assert mean == pytest.approx(reader.ways[FINISHED].equal.first)


def test_the_report_can_be_written_as_text_and_as_data(report: Quality) -> None:
    """Text is narrow enough for a terminal and names each way; the data is JSON."""
    text = render_text(report)
    assert max(len(line) for line in text.splitlines()) <= 110
    for way in report.readers[0].ways.values():
        assert f" {way.score.right:.3f}" in text
    assert json.loads(json.dumps(as_json(report)))["plant"] == report.plant


def test_two_measurements_are_the_same() -> None:
    """Nothing in the report depends on the clock or on chance without a seed."""
    plant = sensitive_plant(7, causes=8, signs=10)
    assert measure(plant, {}, 5) == measure(plant, {}, 5)


def with_ways(quality: Quality, change: Callable[[Way], Way]) -> Quality:
    readers = (
        replace(it, ways={name: change(way) for name, way in it.ways.items()})
        for it in quality.readers
    )
    return replace(quality, readers=tuple(readers))


FAILING: dict[str, Callable[[Way], Way]] = {
    "right-of-every": lambda way: replace(way, of_every_right=0.8),
    "first-of-every": lambda way: replace(way, of_every_first=0.7),
    "right-with-more": lambda way: replace(way, of_every_right=0.9),
    "first-with-more": lambda way: replace(way, of_every_first=0.87),
    "right-by-links": lambda way: replace(way, score=replace(way.score, right=0.42)),
    "first-by-links": lambda way: replace(way, score=replace(way.score, first=0.29)),
    "looks": lambda way: replace(way, looks=6.61),
    "longest-walk": lambda way: replace(way, longest=8),
    "harmful": lambda way: replace(way, score=replace(way.score, harmful=0.0011)),
    "idle-wrong": lambda way: replace(way, score=replace(way.score, idle_wrong=0.021)),
    "confident-wrong": lambda way: replace(
        way, score=replace(way.score, confident_wrong=0.036)
    ),
    "overstated": lambda way: replace(way, overstated=0.031),
}


@pytest.mark.parametrize("goal", sorted({*AT_LEAST, *AT_MOST}))
def test_each_goal_can_be_missed(report: Quality, goal: str) -> None:
    """A number past its bound misses its goal, for each kind of gardener it is for."""
    if goal == "senseless":
        readers = tuple(replace(it, senseless=1) for it in report.readers)
        worse = replace(report, readers=readers)
    else:
        worse = with_ways(report, FAILING[goal])
    found = [it for it in goals(worse) if it.id == goal]
    assert {it.reader for it in found} <= {"careful", "hasty"}
    assert found
    assert not any(it.met for it in found)


def test_causes_without_a_telling_sign_are_found() -> None:
    """Two causes with the same words are a pair that nothing separates."""
    sign = make_sign("leaf", ("holes", "spots"))
    same = {"leaf": {"holes": "usually"}}
    causes = (
        make_cause("one", evidence=same),
        make_cause("two", evidence=same),
        make_cause("three", evidence={"leaf": {"spots": "usually"}}),
        make_cause("silent"),
    )
    found = unseparated(weigh(plant_of((sign,), causes)), ignore=("silent",))
    assert found == (("one", "two"),)


def test_a_sign_that_changes_nothing_is_found() -> None:
    """A sign of which one cause speaks alone moves no share, so it never matters."""
    signs = (make_sign("leaf", ("holes", "spots")), make_sign("stem", ("soft", "firm")))
    causes = (
        make_cause(
            "one", evidence={"leaf": {"holes": "usually"}, "stem": {"soft": "always"}}
        ),
        make_cause("two", evidence={"leaf": {"spots": "usually"}}),
    )
    evidence, tree = weigh(plant_of(signs, causes)), chain_of(signs)
    drawn = draw_gardeners(evidence, careful(evidence), 50)
    places = stands(evidence, drawn, walked(evidence, drawn, finished(evidence, tree)))
    assert idle_signs(evidence, places) == ("stem",)
    assert idle_questions(evidence, tree) == ("stem",)
    gained = dict(easier_looks(evidence, places))
    assert gained["leaf"] > 0.01 > abs(gained["stem"])


def test_a_changed_answer_is_counted_once_for_each_other_answer() -> None:
    """Two walks and one case of one sign with two answers: three changes, all hits lost."""
    plant = two_causes()
    slips = one_wrong_answer(plant, weigh(plant), {})
    assert slips.count == 3
    assert slips.first == 0
    assert slips.possible == 1
    assert slips.riskier == 0


def test_the_usual_walk_gives_the_likeliest_answers() -> None:
    """A gardener with the rot usually sees spots."""
    plant = two_causes()
    assert usual_walk(weigh(plant), plant.tree, "rot") == {"leaf": "spots"}


def test_a_walk_goes_on_from_a_slip_as_the_site_would_ask() -> None:
    """Who says "spots" by mistake is asked about spots, and not about what holes need."""
    signs = (
        make_sign("leaf", ("holes", "spots"), ease="hard"),
        make_sign("trace", ("slime", "pellets"), needs={"leaf": ("holes",)}),
        make_sign("dust", ("rubs", "stays"), needs={"leaf": ("spots",)}),
    )
    shown = {
        "moth": {"leaf": "holes", "trace": "pellets"},
        "slug": {"leaf": "holes", "trace": "slime"},
        "rust": {"leaf": "spots", "trace": "slime", "dust": "rubs"},
        "burn": {"leaf": "spots", "trace": "slime", "dust": "stays"},
    }
    causes = [
        make_cause(name, evidence={sign: {it: "usually"} for sign, it in said.items()})
        for name, said in shown.items()
    ]
    tree = make_tree(
        {"leaf": {"holes": {"trace": {"slime": "slug", "otherwise": "moth"}},
                  "otherwise": {"dust": {"rubs": "rust", "otherwise": "burn"}}}}
    )  # fmt: skip
    plant = plant_of(signs, causes, tree=tree)
    evidence = weigh(plant)
    assert usual_walk(evidence, tree, "moth") == {"leaf": "holes", "trace": "pellets"}
    slipped = usual_walk(evidence, tree, "moth", {"leaf": "spots"})
    assert list(slipped) == ["leaf", "dust"]
    # Each of four walks: leaf told wrong, then the second look told wrong.
    hits = {"gone on": 0, "as it was": 0}
    for cause in plant.causes:
        walk = usual_walk(evidence, tree, cause)
        (leaf, said), (second, then) = walk.items()
        other = "spots" if said == "holes" else "holes"
        wrong = next(it for it in evidence.signs[second].answers if it != then)
        gone_on = usual_walk(evidence, tree, cause, {leaf: other})
        hits["gone on"] += rank(evidence, gone_on).top == cause
        hits["as it was"] += rank(evidence, {**walk, leaf: other}).top == cause
        for count in hits:
            hits[count] += rank(evidence, {**walk, second: wrong}).top == cause
    assert hits["gone on"] < hits["as it was"]
    slips = one_wrong_answer(plant, evidence, {})
    assert (slips.count, slips.first) == (8, hits["gone on"] / 8)


def test_cases_are_scored_beside_the_commonest_cause() -> None:
    """One case, hit: first 1, with Wilson's interval from .207."""
    plant = two_causes()
    found = score_cases(plant, weigh(plant))
    assert found is not None
    told = {way.name: way for way in found.ways}
    assert (found.count, told["findings"].score.first, found.missed) == (1, 1.0, ())
    score_ = told["findings"].score
    assert score_.right + score_.wasted == pytest.approx(1)
    assert told["findings"].first_interval[0] == pytest.approx(0.2065, abs=1e-3)
    # One sign, one question: each order of the questions tells all there is.
    assert told["questions"].score == told["random"].score == score_
    assert told["nothing"].brier == pytest.approx(0.5)  # two causes, equally common
    assert score_cases(replace(plant, cases=()), weigh(plant)) is None
