"""The report: metrics against library examples, and walks against counting by hand."""

import json
from dataclasses import replace

import numpy as np
import pytest
from sklearn.metrics import top_k_accuracy_score

from builder.model import Plant
from builder.reason import scale
from builder.reason.case_scores import score_cases
from builder.reason.evidence import StepTable, Table, assemble, misread, weigh
from builder.reason.faults import idle_signs, unseparated
from builder.reason.quality import measure
from builder.reason.ranking import headline, ranked
from builder.reason.readers import careful, hasty, moved, strangers
from builder.reason.report import Quality
from builder.reason.report_text import as_json, render_text
from builder.reason.sampling import everything_asked
from builder.reason.scores import (
    brier,
    judge,
    log_score,
    overstated,
    reliability,
    score,
    wilson,
)
from builder.reason.slips import one_wrong_answer, usual_walk
from builder.reason.sureness import sureness
from builder.reason.walks import most_telling_tree, walk
from tests.factories import make_case, make_cause, make_check, make_sign
from tests.made_up_plants import chain_of, made_up_plant, plant_of


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


def toy_verdicts(shares: Table) -> Table:
    evidence = assemble(
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
    return judge(evidence, shares)


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
    """Judged in one go, each ranking is named as `headline` and `sureness` name it."""
    evidence = weigh(made_up_plant(5, causes=20, signs=8))
    assert evidence.families
    draw = np.random.default_rng(2)
    shares = draw.dirichlet(np.full(len(evidence.causes), 0.25), size=500)
    verdicts = judge(evidence, shares)
    kinds = set()
    for place, vector in enumerate(shares):
        said = headline(evidence, ranked(evidence, vector.copy()))
        kinds.add(said.kind)
        named = () if said.kind == "open" else said.within or (said.id,)
        tenths = sureness(said.share).tenths if named else -1
        assert list(verdicts.named[place]) == [c in named for c in evidence.causes]
        assert verdicts.tenths[place] == tenths
        assert verdicts.sure[place] == pytest.approx(said.share)
    assert kinds == {"open", "cause", "family"}


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
    return plant_of((sign,), causes, cases=(case,))


def test_one_question_is_scored_as_by_hand() -> None:
    """An easy sign is read right .92 of the time; who can't tell gets the commonest."""
    plant = two_causes()
    shown = 0.92 * 0.97 / 0.98 + 0.08 * 0.01 / 0.98  # says holes when it is the moth
    found = measure(plant, {})
    tell = 1 - scale.CANT_TELL["easy"]
    careful_tree = found.readers[0].tree.common
    # Who can't tell sees "dry": it harms nobody, and picking would harm half.
    assert careful_tree.first == pytest.approx(tell * shown + (1 - tell) / 2, abs=1e-6)
    assert found.readers[0].looks == 1
    assert found.longest == 1
    assert found.bits == pytest.approx(1)


def test_a_hasty_gardener_reads_every_sign_at_the_published_mean() -> None:
    """What the hasty say is the table of what is there, misread with .79."""
    evidence = weigh(made_up_plant(2))
    says = hasty(evidence).says
    for place, sign in enumerate(evidence.signs.values()):
        expected = misread(sign.share, 0.79).T
        assert says[place, : len(sign.answers)] == pytest.approx(expected)


def test_a_third_of_the_words_are_moved() -> None:
    """Three in ten words move one step, the same ones whenever the seed is the same."""
    plant = made_up_plant(1, causes=30, signs=30)
    tables = [moved(plant, seed).says for seed in (0, 0, 1)]
    assert np.array_equal(tables[0], tables[1])
    assert not np.array_equal(tables[0], tables[2])
    assert not np.array_equal(tables[0], careful(weigh(plant)).says)


def test_gardeners_arrive_at_the_ends_in_the_same_shares_as_when_drawn() -> None:
    """The exact chances of a walk agree with 20,000 gardeners sent down it at random."""
    evidence = weigh(made_up_plant(3))
    tree = most_telling_tree(evidence, questions=6, longest=3)
    crowd = careful(evidence)
    exact = {
        stand.node: float(stand.reach[0] @ evidence.prior)
        for stand in walk(evidence, tree, [crowd])
        if stand.ended
    }
    draw = np.random.default_rng(1)
    drawn = dict.fromkeys(exact, 0)
    for cause in draw.choice(len(evidence.causes), size=20_000, p=evidence.prior):
        node = tree.first
        while node in tree.questions:
            sign = evidence.signs[tree.questions[node].sign]
            if draw.random() < sign.cant_tell:
                node = tree.questions[node].cant_tell
                continue
            row = misread(sign.share, sign.accuracy)[cause]
            answer = sign.answers[int(draw.choice(len(row), p=row / row.sum()))]
            node = tree.questions[node].ways[answer]
        drawn[node] += 1
    for node, chance in exact.items():
        assert drawn[node] / 20_000 == pytest.approx(chance, abs=0.015)


def test_every_sign_asked_equals_the_exact_walk_where_both_can_be_had() -> None:
    """On a plant of four free signs the drawn ceiling is the exact one, but for chance."""
    plant = made_up_plant(4, causes=6, signs=4)
    plant = replace(plant, tree=chain_of(tuple(plant.signs.values())))
    evidence = weigh(plant)
    shares, truth = everything_asked(evidence, careful(evidence), per_cause=4000)
    drawn = score(judge(evidence, shares), truth)
    exact = measure(plant, {}).readers[0].tree.equal
    assert not any(sign.needs for sign in plant.signs.values())
    assert drawn.first == pytest.approx(exact.first, abs=0.01)
    assert drawn.right == pytest.approx(exact.right, abs=0.01)


@pytest.fixture(scope="module")
def report() -> Quality:
    plant = made_up_plant(8, causes=25, signs=25)
    tree = most_telling_tree(weigh(plant), questions=30, longest=6)
    return measure(replace(plant, tree=tree), {})


def test_the_hasty_are_never_shown_much_more_than_is_true(report: Quality) -> None:
    """Shown n in 10 exceeds the truth by at most .05 for the hasty reader."""
    assert report.readers[1].reader == "hasty"
    assert report.readers[1].reliability
    assert report.readers[1].overstated <= 0.05


def test_more_looks_never_hurt_on_average(report: Quality) -> None:
    """For the gardener the ranking is made for, hits rise with every look taken."""
    for reader in report.readers:
        hits = [point.first for point in reader.tree.curve]
        assert hits == sorted(hits)
        assert reader.tree.curve[-1] == reader.tree.common


def test_shares_of_a_score_add_up(report: Quality) -> None:
    """Right, wasted and harmful first steps are all there are, and three hold the first."""
    for reader in report.readers:
        for found in (reader.tree.common, reader.everything.equal, *reader.tree.curve):
            assert found.right + found.wasted + found.harmful == pytest.approx(1)
            assert found.first <= found.three


def test_scores_by_cause_give_the_whole(report: Quality) -> None:
    """The mean over causes is the score with all causes equally common."""
    for reader in report.readers:
        mean = sum(cause.score.first for cause in reader.causes) / len(reader.causes)
        assert mean == pytest.approx(reader.tree.equal.first)


def test_the_report_can_be_written_as_text_and_as_data(report: Quality) -> None:
    """Text is narrow enough for a terminal and the data is JSON."""
    assert max(len(line) for line in render_text(report).splitlines()) <= 110
    assert json.loads(json.dumps(as_json(report)))["plant"] == report.plant


def test_two_measurements_are_the_same(report: Quality) -> None:
    """Nothing in the report depends on the clock or on chance without a seed."""
    plant = made_up_plant(8, causes=25, signs=25)
    tree = most_telling_tree(weigh(plant), questions=30, longest=6)
    assert measure(replace(plant, tree=tree), {}) == report


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
    evidence = weigh(plant_of(signs, causes))
    stands = list(walk(evidence, chain_of(signs), [careful(evidence)]))
    assert idle_signs(evidence, stands) == ("stem",)


def test_strangers_show_what_is_on_the_list_but_not_together() -> None:
    """A made-up trouble has, for each sign, the row of some cause."""
    evidence = weigh(made_up_plant(6))
    own, strange = careful(evidence).says, strangers(evidence, seed=0).says
    for table, rows in zip(strange, own, strict=True):
        known = {tuple(row) for row in rows.T}
        assert {tuple(row) for row in table.T} <= known


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
    assert usual_walk(plant, weigh(plant), "rot") == {"leaf": "spots"}


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
