"""What customers ask beside the cause: the questions that letters are answered with."""

import re

import pytest

from bedside.checks.wording import DOSES
from bedside.language.readability import sentences_in, words_in
from bedside.model.library import Library
from bedside.model.records import KINDS, Asked, Plant
from tests.shipped import PLANT

WANTED = (
    "what-is-it", "saved", "what-spray", "poisonous", "spreads", "fault", "refund", "ship",
    "divide", "plant-when", "plant-how", "overwinter", "cut-back", "feed", "water", "bees",
    "eat", "compost", "flower-when", "remove", "dug-up", "ants", "pods",
    "color", "falls", "soil", "photo",
)  # fmt: skip
FEWEST, MOST = 30, 60
REPLY_WORDS, SENTENCES = 45, 3
# What would be a promise, a scolding or an order nobody can take back.
UNKIND = re.compile(
    r"\b(?:you should have|never forget|guarantee|we promise|will definitely|destroy)\b",
    re.IGNORECASE,
)
# Kinds of trouble for which a spray is never the answer.
NO_SPRAY = ("virus", "disorder", "normal", "deer-rabbit", "stinging-caterpillar")
NO_SHARE = (
    "virus", "nematode", "southern-blight", "bacterial-blight", "rhizome-rot",
    "frozen-root", "mealybug", "weedkiller", "dried-root", "slow-start", "unlisted",
)  # fmt: skip


@pytest.fixture(scope="module")
def plant(real: Library) -> Plant:
    return real.knowledge.plants[PLANT]


def replies_of(asked: Asked) -> tuple[str, ...]:
    return tuple(filter(None, (asked.reply, asked.arrived, *asked.instead.values())))


def test_every_question_is_there_in_its_order(plant: Plant) -> None:
    """Only the first question is answered by the cause alone."""
    assert tuple(plant.asked) == WANTED
    assert [it.id for it in plant.asked.values() if not it.reply] == ["what-is-it"]


@pytest.mark.parametrize("id_", WANTED)
def test_a_question_has_turns_of_phrase_enough(plant: Plant, id_: str) -> None:
    """Thirty to sixty, each more than one short word, so that no stray word asks it."""
    turns = plant.asked[id_].words
    assert FEWEST <= len(turns) <= MOST
    for turn in turns:
        assert len(turn) >= 5, turn


def test_no_turn_of_phrase_asks_two_things(plant: Plant) -> None:
    """What a customer wrote leads to one question, not to whichever stands first."""
    every = [turn for asked in plant.asked.values() for turn in asked.words]
    assert sorted(every) == sorted(set(every))


@pytest.mark.parametrize("id_", WANTED)
def test_a_reply_is_short_and_kind(plant: Plant, id_: str) -> None:
    """At most three sentences and 45 words, no amount of anything, no promise."""
    for reply in replies_of(plant.asked[id_]):
        assert len(words_in(reply)) <= REPLY_WORDS, reply
        assert len(sentences_in(reply)) <= SENTENCES, reply
        assert not UNKIND.search(reply), reply
        assert not any(it.search(reply) for it in DOSES), reply


@pytest.mark.parametrize("id_", NO_SPRAY)
def test_no_spray_is_named_where_none_helps(plant: Plant, id_: str) -> None:
    """Who asks for a spray against a virus, weather or a well plant is told of none."""
    cause = plant.causes.get(id_)
    kind = id_ if cause is None else cause.kind
    said = plant.asked["what-spray"].reply_for(id_, kind).lower()
    assert re.search(r"^(?:no|nothing|you need no)\b", said)
    assert "label" not in said


@pytest.mark.parametrize("id_", NO_SHARE)
def test_what_may_not_be_shared_is_not(plant: Plant, id_: str) -> None:
    """Where the record of a cause says not to share, so does the letter."""
    cause = plant.causes[id_]
    assert cause.share is not None
    assert re.match(r"No\b|Not yet|Wait", cause.share.say)
    said = plant.asked["divide"].reply_for(id_, cause.kind)
    assert re.match(r"No\b|Not\b|Please (?:do not|share no)", said)


def test_sharing_is_barred_wherever_a_record_bars_it(plant: Plant) -> None:
    """The list above holds every cause whose record says no or not yet."""
    barred = {
        it.id for it in plant.causes.values()
        if it.share and re.match(r"No\b|Not yet|Wait", it.share.say)
    }  # fmt: skip
    assert barred == set(NO_SHARE)


def test_a_better_reply_differs_from_the_one_for_all(plant: Plant) -> None:
    """A line for one cause that says what is said anyway would be dead weight."""
    for asked in plant.asked.values():
        for id_, reply in asked.instead.items():
            kind = "" if id_ in KINDS else plant.causes[id_].kind
            assert reply not in (asked.reply, asked.instead.get(kind)), (asked.id, id_)


def test_only_what_the_nursery_promises_is_promised(real: Library, plant: Plant) -> None:
    """A new root or money is offered for what came bad, within the days it says."""
    promise = real.knowledge.nursery.replacement
    asked = plant.asked["refund"]
    for words in (
        "soft, dried out or frozen",
        "within ten days",
        "a new one or your money",
    ):
        assert words in promise
        assert words in asked.arrived
    for other in plant.asked.values():
        for reply in replies_of(other):
            assert "your money" not in reply or reply == asked.arrived
