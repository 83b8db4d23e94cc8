"""Whom to call and what to do first: what must stand there, whoever writes it anew."""

import re
from collections.abc import Sequence

import pytest

from bedside.language.readability import sentences_in, words_in
from bedside.model.library import Library
from bedside.model.records import Claim, Emergencies, FirstAid

BOXES = (
    "call-now", "life-line", "burn", "swallowed", "plant-eaten", "skin", "eyes",
    "hairs-in-eye", "breathed-in", "fumes", "caterpillar-sting", "wasp-sting", "pet",
    "on-food", "bees", "pond",
)  # fmt: skip
SHORT_WORDS, SHORT_SENTENCES = 35, 4
# What the short form of a box may never lose.
KEPT = {
    "call-now": ("ambulance", "on their side", "allergy pen", "cpr", "20 minutes"),
    "life-line": ("crisis line", "ambulance"),
    "burn": ("ambulance", "20 minutes", "never pull off what sticks"),
    "swallowed": ("poison line", "ambulance", "do not make them vomit"),
    "plant-eaten": ("poison line", "which plant", "ambulance", "do not make them vomit"),
    "skin": ("clothes", "rinse the skin", "poison line", "rash", "blister"),
    "eyes": ("15 minutes", "poison line"),
    "hairs-in-eye": ("rinse", "do not rub", "doctor"),
    "breathed-in": ("fresh air", "poison line", "ambulance"),
    "fumes": ("fresh air", "poison line", "ambulance"),
    "caterpillar-sting": ("stick", "tape", "ambulance"),
    "wasp-sting": ("lay them flat", "allergy pen", "ambulance", "mouth", "doctor"),
    "pet": ("vet now", "slug bait", "lily", "wash it off", "do not make it vomit"),
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
    """Sixteen boxes; those for a life are the first two of the page."""
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
    assert "a cat and a lily" in short
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


def where(lines: Sequence[Claim], words: str) -> int:
    """The place of the first line that says it."""
    return next(at for at, it in enumerate(lines) if words in it.say.lower())


def test_the_pen_stands_before_the_ambulance_and_both_before_the_wash(
    them: Emergencies,
) -> None:
    """As the allergy society's plan has it: lie flat, pen, ambulance, a second pen."""
    sting = box(them, "wasp-sting")
    order = (
        "lay them flat",
        "use it at once",
        "call the ambulance",
        "five minutes",
        "wash",
    )
    assert sorted(order, key=lambda it: where(sting.do, it)) == list(order)
    short = sting.short.lower()
    assert short.index("flat") < short.index("pen") < short.index("ambulance")
    assert "vomiting" in said(sting)
    assert "left side" in said(sting)
    assert where(sting.do, "in the mouth") < where(sting.do, "wash")
    assert "many times" in said(sting)


def test_a_pen_comes_first_wherever_a_swollen_throat_is_told(them: Emergencies) -> None:
    """Also with a sting by a caterpillar, hairs in the eye, and a life in danger."""
    for id_ in ("caterpillar-sting", "hairs-in-eye"):
        aid = box(them, id_)
        line = aid.do[where(aid.do, "tongue or throat")].say.lower()
        assert line.index("pen comes first") < line.index("ambulance"), id_
    assert "only an allergy pen comes first" in box(them, "call-now").do[0].say.lower()


def test_who_does_not_breathe_gets_a_push_on_the_chest(them: Emergencies) -> None:
    """Each line that names it says what to do about it."""
    lines = [it.say for aid in them.first_aid for it in aid.do]
    naming = [it for it in lines if "not breathing" in it.lower()]
    assert len(naming) >= 4
    for line in naming:
        assert "CPR" in line


def test_what_sticks_to_a_burn_stays(them: Emergencies) -> None:
    """Water, long enough; the film comes after it, and nothing is peeled off."""
    burn = box(them, "burn")
    assert where(burn.do, "20 minutes") < where(burn.do, "plastic film")
    assert "never peel" in said(burn)
    assert "under five" in said(burn)
    assert not any("memory" in it.sources for it in (*burn.do, *burn.do_not))
    assert "ambulance" in said(burn)


def test_a_cat_and_a_lily_go_to_the_vet(them: Emergencies) -> None:
    """Daylilies too; lily of the valley and gloriosa for any animal."""
    for id_ in ("pet", "plant-eaten"):
        aid = box(them, id_)
        line = aid.do[where(aid.do, "daylily")].say.lower()
        assert "cat" in line
        assert "vet" in line
    eaten = said(box(them, "plant-eaten"))
    assert "lily of the valley or gloriosa" in eaten


def test_an_animal_is_washed_unless_it_fits(them: Emergencies) -> None:
    """Lukewarm water, mild soap; then the vet; and never in a fit."""
    pet = box(them, "pet")
    line = pet.do[where(pet.do, "lukewarm")].say.lower()
    assert "mild dish soap" in line
    assert where(pet.do, "lukewarm") < where(pet.do, "ring the vet")
    assert "do not wash an animal that has a fit" in said(pet)


def test_who_swallowed_it_locks_it_up_afterwards(them: Emergencies) -> None:
    """Where it was swallowed once, it stands open or in a drink bottle."""
    assert "lock up" in said(box(them, "swallowed"))
    assert "drink bottle" in said(box(them, "swallowed"))


def test_hairs_in_the_eye_are_told_where_one_looks_for_a_sting(them: Emergencies) -> None:
    """The box for the sting says it too."""
    sting = box(them, "caterpillar-sting")
    line = sting.do[where(sting.do, "in the eye")].say.lower()
    assert "rinse" in line
    assert "eye doctor" in line


def test_whom_to_tell_of_dead_bees(them: Emergencies) -> None:
    """The state's pesticide office and the national center: not who looks after water."""
    bees = said(box(them, "bees"))
    assert "state's pesticide office" in bees
    assert "national pesticide information center" in bees
    assert "fish" not in bees


def test_a_pond_owner_knows_what_to_do_with_the_pump(them: Emergencies) -> None:
    """Pump off, air in, fish to clean water; a spill that runs on has a line of its own."""
    pond = said(box(them, "pond"))
    for words in (
        "switch the pump off",
        "dry hands",
        "air bubble",
        "clean water",
        "response center",
    ):
        assert words in pond, words


def line_of(them: Emergencies, country: str, what: str) -> str:
    """What is said of one line of one country."""
    (found,) = (it for it in them.countries if it.id == country)
    return next(f"{it.number}: {it.say}" for it in found.lines if it.what == what)


def test_poison_lines_for_animals_that_are_free_say_so(them: Emergencies) -> None:
    """Australia and New Zealand: the page with a price is for clinics."""
    for country in ("au", "nz"):
        assert "Free for owners" in line_of(them, country, "animal"), country


def test_a_spill_into_water_has_a_line_in_the_united_states(them: Emergencies) -> None:
    """And dead fish have another: the say tells which."""
    line = line_of(them, "us", "water")
    assert line.startswith("1-800-424-8802")
    assert "fish and wildlife" in line


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


def test_first_aid_puts_life_and_the_helper_first(them: Emergencies) -> None:
    """Breath before the poison line; current off before a touch; powder before water."""
    fumes = said(box(them, "fumes"))
    assert fumes.index("call the ambulance") < fumes.index("call the poison line")
    assert box(them, "burn").do[0].say.startswith("Hurt by electric current? Switch it off")
    assert "Rinse with running water alone" in " ".join(
        it.say for it in box(them, "burn").do
    )
    assert box(them, "skin").do[0].say.startswith("Dry powder? Brush it off first")
