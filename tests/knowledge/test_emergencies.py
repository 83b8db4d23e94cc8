"""Whom to call and what to do first: what must stand there, whoever writes it anew."""

import re

import pytest

from bedside.language.readability import sentences_in, words_in
from bedside.model.library import Library
from bedside.model.records import Emergencies, FirstAid

BOXES = (
    "call-now", "life-line", "swallowed", "plant-eaten", "skin", "eyes", "hairs-in-eye",
    "breathed-in", "fumes", "caterpillar-sting", "wasp-sting", "pet", "on-food", "bees",
    "pond",
)  # fmt: skip
SHORT_WORDS, SHORT_SENTENCES = 35, 4
# What the short form of a box may never lose.
KEPT = {
    "call-now": ("ambulance", "on their side", "allergy pen", "20 minutes"),
    "life-line": ("crisis line", "ambulance"),
    "swallowed": ("poison line", "ambulance", "do not make them vomit"),
    "plant-eaten": ("poison line", "which plant", "ambulance", "do not make them vomit"),
    "skin": ("clothes", "rinse the skin", "poison line", "rash", "blister"),
    "eyes": ("15 minutes", "poison line"),
    "hairs-in-eye": ("rinse", "do not rub", "doctor"),
    "breathed-in": ("fresh air", "poison line", "ambulance"),
    "fumes": ("fresh air", "poison line", "ambulance"),
    "caterpillar-sting": ("stick", "tape", "ambulance"),
    "wasp-sting": ("ambulance", "allergy pen", "doctor"),
    "pet": ("vet now", "slug bait", "do not make it vomit"),
    "on-food": ("do not eat or harvest", "label", "poison line"),
    "bees": ("spray no flower", "beekeepers", "pesticide office"),
    "pond": ("do not hose", "at once", "out of the water"),
}
MEDICINE = re.compile(
    r"\b(?:mg|antihistamine|aspirin|charcoal|adrenaline|cortisone)\b", re.IGNORECASE
)


@pytest.fixture(scope="module")
def them(real: Library) -> Emergencies:
    return real.knowledge.emergencies


def box(them: Emergencies, id_: str) -> FirstAid:
    return next(it for it in them.first_aid if it.id == id_)


def said(aid: FirstAid) -> str:
    return " ".join(it.say for it in (*aid.do, *aid.do_not)).lower()


def test_every_box_is_there_and_the_worst_stands_first(them: Emergencies) -> None:
    """Fifteen boxes; those for a life are the first two of the page."""
    assert tuple(it.id for it in them.first_aid) == BOXES


@pytest.mark.parametrize("id_", BOXES)
def test_the_short_form_is_safe_on_its_own(them: Emergencies, id_: str) -> None:
    """A few sentences, at most 35 words, and none of what saves is left out."""
    short = box(them, id_).short
    assert len(words_in(short)) <= SHORT_WORDS
    assert len(sentences_in(short)) <= SHORT_SENTENCES
    for words in KEPT[id_]:
        assert words in short.lower(), words


def test_an_animal_gets_a_short_form_of_its_own(them: Emergencies) -> None:
    """Where a box is for people too, an animal is sent to the vet and to nobody else."""
    short = box(them, "plant-eaten").short_animal.lower()
    assert "vet now" in short
    assert "animal line" in short
    assert "do not make it vomit" in short
    assert "ambulance" not in short
    assert len(words_in(short)) <= SHORT_WORDS


@pytest.mark.parametrize("id_", BOXES)
def test_the_short_form_names_nobody_that_the_box_does_not(
    them: Emergencies, id_: str
) -> None:
    """Whoever is to be called in the short form is called in a line with a source too."""
    aid = box(them, id_)
    for whom in ("ambulance", "poison line", "crisis line", "vet", "doctor", "office"):
        if whom in aid.short.lower():
            assert whom in said(aid), whom


def test_no_box_gives_a_medicine(them: Emergencies) -> None:
    """What to swallow is for those who answer the phone."""
    for aid in them.first_aid:
        assert not MEDICINE.search(said(aid) + aid.short), aid.id


def test_who_speaks_of_ending_their_life_hears_of_nothing_else(them: Emergencies) -> None:
    """No plant care, no label, no poison line: whom to call, and that they matter."""
    short = box(them, "life-line").short
    assert not re.search(
        r"poison|spray|label|leaf|root", short + said(box(them, "life-line"))
    )
    for country in them.countries:
        (line,) = (it for it in country.lines if it.what == "crisis")
        assert "ending their life" in line.say


def test_numbers_in_a_spanish_reply_are_those_of_the_page(
    real: Library, them: Emergencies
) -> None:
    """A number is written twice, so a test holds the two together."""
    replies = real.words("replies")
    assert replies
    numbers = {it.number for country in them.countries for it in country.lines}
    found = re.findall(r"\d[\d-]*\d", replies["kinds"]["foreign_es"])
    assert len(found) == 3
    assert set(found) <= numbers


def test_a_whole_reply_fills_in_what_there_is(real: Library) -> None:
    """Only the nursery's own words stand in curly brackets."""
    replies = real.words("replies")
    assert replies
    for kind, text in replies["kinds"].items():
        assert set(re.findall(r"\{(\w+)\}", text)) <= {
            "nursery",
            "email",
            "site",
            "plant",
            "plants",
            "a_plant",
        }, kind
        assert len(words_in(text)) <= 60, kind
