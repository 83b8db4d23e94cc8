"""What the browser needs to read a letter: words, rules, places, and the arithmetic."""

from collections.abc import Iterable, Mapping
from typing import Any

from bedside.language.letter_phrases import (
    Phrase,
    Reading,
    reading_of,
    stem,
    words_of,
    written,
)
from bedside.language.readability import english_words
from bedside.model.records import Plant
from bedside.pages.frame.addresses import LETTER_WORDS, result_address
from bedside.pages.frame.desk import PlantDesk, Site
from bedside.reason.browser_tables import browser_table

# A word this long may be a slip for one of ours; a shorter one is too often another word.
SHORTEST_SLIP = 7
SHORTEST_MEANT = 6
LONG = 10  # from here on two edits are forgiven
FIRST_SIGN = 35  # a row's number travels as one printable sign, from "#" on
UNREAD = ("denied", "at", "bars")  # what no reader of letters asks of a sign or a step
SCALE_READ = (
    "bands",
    "named",
    "likely",
    "family",
    "tenths",
    "harm",
    "borne",
    "idle",
    "two",
    "twoFrom",
    "tokens",
    "letters",
)
OTHERS = "plants"  # the group of words for other plants than ours
LIGHT_PARTS = 10_000  # the share of an answer needs no billionths to rank a letter


def table_name(desk: PlantDesk) -> str:
    """Name the file of a plant's table."""
    return f"letters-{desk.plant.id}.json"


def letters_table(site: Site, desk: PlantDesk) -> dict[str, Any]:
    """Everything `readLetter` needs, ready for JSON."""
    words = {name: site.library.words(name) for name in LETTER_WORDS}
    reading = reading_of(words["reading"], (desk.plant.name, desk.plant.plural))
    guesses = {id_: it.guesses for id_, it in desk.plant.causes.items() if it.guesses}
    groups = {
        "phrases": sign_phrases(reading, desk),
        "guesses": _phrases(reading, guesses),
        "plants": _phrases(reading, plant_words(site, desk.plant)),
    }
    return {
        "plant": desk.plant.id,
        "address": site.knowledge.nursery.site.rstrip("/")
        + "/"
        + result_address(desk.plant),
        "country": site.knowledge.nursery.country,
        "table": {
            **light_table(browser_table(desk.evidence)),
            **site.old_ids(desk.plant.id),
        },
        "ends": _ends(desk),
        "first": desk.plant.tree.questions[desk.plant.tree.first].sign,
        "reading": _reading(reading, groups),
        "phrases": _written(groups["phrases"]),
        "guesses": _written(groups["guesses"]),
        "lines": words["dangers"]["lines"],
        "animals": words["dangers"].get("animals", {}),
        "groups": _joined(
            {
                **of_plant(words["dangers"]["words"], desk.plant),
                **of_plant(words["kinds"], desk.plant),
                "ours": names_of(desk.plant),
            }
        ),
        "topics": _joined({id_: it.about for id_, it in desk.plant.asked.items()}),
        "asked": _joined({id_: it.words for id_, it in desk.plant.asked.items()}),
        "languages": words["reading"]["languages"],
        "models": models(site.trained, desk.plant.id),
        "plants": {"words": _written(groups["plants"])},
        "places": words["places"],
        "zones": {
            id_: [list(zone.states), list(zone.countries)]
            for id_, zone in site.knowledge.zones.items()
        },
        "seasons": {id_: list(it.months) for id_, it in site.knowledge.seasons.items()},
    }


def _joined(groups: Mapping[str, Iterable[str]]) -> dict[str, str]:
    # No turn of phrase holds a comma; a list of quoted ones would weigh a tenth more.
    return {id_: ",".join(turns) for id_, turns in groups.items() if turns}


def models(trained: Mapping[str, Any], plant: str) -> dict[str, Any]:
    """The models of all plants, and those of this one if it was trained."""
    known = {**trained.get("shared", {}), **trained.get("plants", {}).get(plant, {})}
    return {name: _light_model(model) for name, model in known.items()}


def _light_model(model: dict[str, Any]) -> dict[str, Any]:
    # In JSON the end of a line takes two letters, and features hold no comma.
    names = model.get("features")
    return model if names is None else {**model, "features": names.replace("\n", ",")}


def names_of(plant: Plant) -> list[str]:
    """List what a plant is called, its name and plural first."""
    return [it.lower() for it in (plant.name, plant.plural, *plant.also_called)]


def of_plant(groups: Mapping[str, Iterable[str]], plant: Plant) -> dict[str, list[str]]:
    """Groups of words as they hold for one plant, which is no other plant."""
    return {
        id_: [named(it, plant) for it in words if id_ != OTHERS or not _is_own(it, plant)]
        for id_, words in groups.items()
    }


def _is_own(turn: str, plant: Plant) -> bool:
    return any(name.startswith(turn.rstrip("*")) for name in names_of(plant))


def named(text: str, plant: Plant) -> str:
    """Put a plant's names for the slots of a text."""
    name = plant.name.lower()
    slots = {
        "plant": name,
        "plants": plant.plural.lower(),
        "a_plant": f"{'an' if name[0] in 'aeiou' else 'a'} {name}",
    }
    for slot, value in slots.items():
        text = text.replace(f"{{{slot}}}", value)
    return text


def light_table(table: dict[str, Any]) -> dict[str, Any]:
    """The arithmetic with shorter numbers and only the checks that a first step reads."""
    less = table["parts"] // LIGHT_PARTS

    def short(parts: Iterable[int]) -> list[int]:
        return [max(1, round(it / less)) for it in parts]

    rows = (row for seasons in table["context"].values() for row in seasons.values())
    factors = sorted({_brief(it) for row in rows for it in row})
    ids = _numbered({name: sign["answers"] for name, sign in table["signs"].items()})

    return {
        **table,
        "checks": _checks_of_idle(table),
        "parts": LIGHT_PARTS,
        "prior": short(table["prior"]),
        "signs": {
            name: {
                **{key: value for key, value in sign.items() if key not in UNREAD},
                "rows": [_signs_for(short(row)) for row in sign["rows"]],
                "silent": _signs_for(sign["silent"]),
                "row": _signs_for(sign["row"]),
                "notAfter": _signs_for(ids[it] for it in sign.get("notAfter", ())),
            }
            for name, sign in table["signs"].items()
        },
        "own": [_signs_for(places) for places in table["own"]],
        "steps": [
            {
                **{key: value for key, value in step.items() if key not in UNREAD},
                "right": _signs_for(step["right"]),
                "harms": _signs_for(step["harms"]),
            }
            for step in table["steps"]
        ],
        "scale": {key: table["scale"][key] for key in SCALE_READ},
        "factors": factors,
        "context": {
            zone: {
                season: _signs_for(factors.index(_brief(it)) for it in row)
                for season, row in seasons.items()
            }
            for zone, seasons in table["context"].items()
        },
    }


def _checks_of_idle(table: dict[str, Any]) -> dict[str, Any]:
    idle = {at for at, step in enumerate(table["steps"]) if step.get("idle")}
    steps = dict(zip(table["causes"], table["own"], strict=True))
    return {
        cause: check for cause, check in table["checks"].items() if idle & set(steps[cause])
    }


def _signs_for(numbers: Iterable[int]) -> str:
    return "".join(chr(FIRST_SIGN + at) for at in numbers)


def _brief(factor: float) -> float:
    return int(factor) if factor == int(factor) else round(factor, 2)


def sign_phrases(reading: Reading, desk: PlantDesk) -> dict[str, list[Phrase]]:
    """List the phrases of every answer of a plant."""
    answers = {
        answer.id: answer.words
        for sign in desk.plant.signs.values()
        for answer in sign.all_answers
        if answer.words
    }
    # Where a grower wrote no words for a sign yet, its answers are read as they stand.
    answers |= {
        answer.id: (answer.says,)
        for sign in desk.plant.signs.values()
        if not any(it.words for it in sign.all_answers)
        for answer in sign.answers
    }
    return _phrases(reading, answers)


def others_of(site: Site) -> dict[str, Any]:
    """Plants that letters may be about and that this nursery does not grow."""
    grown = {name for desk in site.desks.values() for name in names_of(desk.plant)}
    known = site.library.words("plants")["others"].items()
    return {id_: it for id_, it in known if grown.isdisjoint((id_, *it["names"]))}


def plant_words(site: Site, ours: Plant) -> dict[str, list[str]]:
    """Name the words for our plant and for others; features stand apart from names."""
    grown = [desk.plant for desk in site.desks.values() if desk.plant is not ours]
    # Our name is a small word: the rest of a longer one may name another plant.
    only = [it for it in names_of(ours) if ours.name.lower() not in it]
    said = {"ours": only} | {f"{it.id} name": names_of(it) for it in grown}
    for id_, other in others_of(site).items():
        said[f"{id_} name"] = other["names"]
        said[f"{id_} feature"] = other["features"]
    return said


def _phrases(
    reading: Reading, said: Mapping[str, Iterable[str]]
) -> dict[str, list[Phrase]]:
    return {
        id_: _shortest([phrase for text in texts if (phrase := reading.phrase(text))])
        for id_, texts in said.items()
    }


def _shortest(phrases: list[Phrase]) -> list[Phrase]:
    # Two words that tell an answer make every longer phrase that holds both superfluous.
    return [
        phrase
        for phrase in phrases
        if len(phrase) < 4
        or not any(len(it) == 2 and set(it) < set(phrase) for it in phrases)
    ]


def _written(groups: Mapping[str, list[Phrase]]) -> dict[str, str]:
    return {id_: written(phrases) for id_, phrases in groups.items()}


def _reading(
    reading: Reading, groups: Mapping[str, Mapping[str, list[Phrase]]]
) -> dict[str, Any]:
    # What a slip may have meant: never a danger and never another plant.
    used = {
        word
        for name in ("phrases", "guesses")
        for phrases in groups[name].values()
        for word in words_of(phrases)
    }
    heads: dict[str, list[str]] = {}
    for word, head in reading.same.items():
        # The stem of a word leads to its head by itself.
        if word != head and not (
            stem(word) != word and reading.same.get(stem(word)) == head
        ):
            heads.setdefault(head, []).append(word)
    known = used | {stem(word) for word in reading.same}
    meant = {word for word in known if len(word) >= SHORTEST_MEANT}
    lists = ("not_denied", "guessing", "heard", "past", "present")
    return {
        "same": {head: " ".join(words) for head, words in heads.items()},
        "small": " ".join(sorted(reading.small)),
        "joined": sorted(reading.joined),
        "common": " ".join(_no_slips(reading, meant)),
        "slips": [SHORTEST_SLIP, SHORTEST_MEANT, LONG],
        **{name: reading.data[name] for name in lists},
    }


def _no_slips(reading: Reading, meant: set[str]) -> list[str]:
    """List the English words that stand near one of ours and are right as they are."""
    near = {most: {cut for word in meant for cut in _cuts(word, most)} for most in (1, 2)}
    known = meant | set(reading.same)
    return sorted(
        {
            stem(word)
            for word in english_words()
            if len(word) >= SHORTEST_SLIP
            and known.isdisjoint((word, stem(word)))
            and not near[_most(word)].isdisjoint(_cuts(stem(word), _most(word)))
        }
    )


def _most(word: str) -> int:
    return 1 if len(word) < LONG else 2  # edits that the reader forgives


def _cuts(word: str, most: int) -> set[str]:
    # Two words within so many edits share a form with at most so many letters taken out.
    once = {word, *(word[:at] + word[at + 1 :] for at in range(1, len(word)))}
    return once if most == 1 else once.union(*(_cuts(it, 1) for it in once))


def _numbered(answers: Mapping[str, Iterable[str]]) -> dict[str, int]:
    # Signs, then answers, in their order: an id travels as its number in this list.
    ids = (*answers, *(answer for each in answers.values() for answer in each))
    return {id_: at for at, id_ in enumerate(ids)}


def _ends(desk: PlantDesk) -> dict[str, str]:
    signs = desk.evidence.signs.values()
    ids = _numbered({sign.id: sign.answers for sign in signs})
    return {
        end: _signs_for(ids[said] for said in desk.arrived[end].findings.values())
        for end in desk.plant.tree.ends
    }
