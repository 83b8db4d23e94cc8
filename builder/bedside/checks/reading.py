"""How long and how hard the texts are. Limits are published ones, named beside each.

Grades leave out the terms that words/taught.yaml teaches; their number is limited too.
"""

from collections import Counter
from collections.abc import Iterable, Iterator

from bedside.checks.material import Fault, Faults, Material, Text
from bedside.language.readability import (
    SMOG_SENTENCES,
    Count,
    pooled,
    school_grade,
    sentences_in,
    smog_grade,
    syllables_in,
    without,
    words_in,
)
from bedside.problems import WARNING

QUESTION_WORDS = 15  # judgement: one short sentence
ANSWER_WORDS = 8  # judgement, after the UK government's guidance on radios
PAGE_WORDS = 110  # US federal plain language guidelines: half of it gets read
SENTENCE_WORDS = 25  # the usual cap of plain language guides (from memory)
PARAGRAPH_WORDS = 150  # US federal plain language guidelines
LIST_ITEMS = 7  # CDC Clear Communication Index
TAUGHT_TERMS = 15
EASY_GRADE = 6  # the advice of the American Medical Association for patients
PLAIN_GRADE = 8  # the most for the public: US adults read at grade 7 to 8
FEWEST_WORDS = 20  # the grade of fewer says nothing
GRADES = {"question": EASY_GRADE, "step": EASY_GRADE, "prose": PLAIN_GRADE}


def long_question(material: Material) -> Faults:
    """A question is one short sentence."""
    yield from _longer(material, "question", QUESTION_WORDS)


def long_answer(material: Material) -> Faults:
    """An answer has at most eight words."""
    yield from _longer(material, "says", ANSWER_WORDS)


def long_question_page(material: Material) -> Faults:
    """Question, where to look and answers have at most 110 words together."""
    for plant in material.plants:
        for sign in plant.signs.values():
            answers = (answer.says for answer in sign.all_answers)
            read = (sign.question, sign.where, *answers)
            length = sum(len(words_in(text)) for text in read)
            if length > PAGE_WORDS:
                yield Fault(
                    place=material.library.place(sign.file, "question", key=True),
                    message=f"this page of questions has {length} words",
                    hint=f"say it in {PAGE_WORDS}",
                )


def long_sentence(material: Material) -> Faults:
    """No sentence has more than 25 words."""
    for text in _read(material):
        if len(words_in(text.say)) <= SENTENCE_WORDS:
            continue  # and so has each of its sentences
        longest = max(map(len, map(words_in, sentences_in(text.say))), default=0)
        if longest > SENTENCE_WORDS:
            yield Fault(
                place=text.place,
                message=f"a sentence of {longest} words",
                hint=f"one idea a sentence, at most {SENTENCE_WORDS} words",
            )


def long_paragraph(material: Material) -> Faults:
    """No text has more than 150 words."""
    for text in _read(material):
        length = len(words_in(text.say))
        if length > PARAGRAPH_WORDS:
            yield Fault(
                place=text.place,
                message=f"a paragraph of {length} words",
                hint=f"split it, at most {PARAGRAPH_WORDS} words each",
            )


def long_list(material: Material) -> Faults:
    """No list of things to know or do has more than seven lines."""
    for kind in ("cause", "control", "first_steps"):
        for document in material.documents(kind):
            records = document.data.items()
            lists = (
                [((key,), it) for key, it in records if key != "guesses"]
                if kind != "first_steps"
                else [((key, "how"), it["how"]) for key, it in records]
            )
            for path, lines in lists:
                if isinstance(lines, list) and len(lines) > LIST_ITEMS:
                    yield Fault(
                        place=document.place(*path, key=True),
                        message=f"a list of {len(lines)} lines",
                        hint=f"at most {LIST_ITEMS}; join lines or drop the weakest",
                        level=WARNING,
                    )


def hard_question(material: Material) -> Faults:
    """The words of a question page are at grade 6 or below."""
    yield from _too_hard(material, "question")


def hard_step(material: Material) -> Faults:
    """The steps of a record are at grade 6 or below."""
    yield from _too_hard(material, "step")


def hard_prose(material: Material) -> Faults:
    """Everything else in a record is at grade 8 or below."""
    yield from _too_hard(material, "prose")


def long_words(material: Material) -> Faults:
    """Thirty sentences or more of one kind are at grade 6, or 8 for prose, by SMOG too."""
    taught = taught_terms(material)
    for voice, limit in GRADES.items():
        for texts in _pools(material, voice):
            counted = pooled((text.say for text in texts), taught)
            if counted.sentences >= SMOG_SENTENCES and smog_grade(counted) > limit:
                yield Fault(
                    place=texts[0].place,
                    message=f"the SMOG grade from here on is {smog_grade(counted):.1f}",
                    hint=f"at most {limit}; the commonest long words are "
                    f"{_commonest(texts, taught)}",
                    level=WARNING,
                )


def too_much_taught(material: Material) -> Faults:
    """At most 15 terms are taught; more would hide hard texts."""
    shared = len(material.library.words("taught") or ())
    for plant in material.plants:
        if shared + len(plant.taught) > TAUGHT_TERMS:
            yield Fault(
                place=material.library.place(
                    plant.file if plant.taught else "words/taught.yaml", "taught", key=True
                ),
                message=f"{shared + len(plant.taught)} terms are taught",
                hint=f"teach at most {TAUGHT_TERMS}, those in words/taught.yaml among them",
            )


def taught_terms(material: Material) -> tuple[str, ...]:
    """List the terms that words/taught.yaml and the plants teach."""
    own = (term for plant in material.plants for term in plant.taught)
    return (*(material.library.words("taught") or ()), *own)


def _read(material: Material) -> Iterator[Text]:
    return (text for text in material.texts if text.voice in GRADES)


def _longer(material: Material, key: str, most: int) -> Faults:
    for text in material.texts:
        if text.voice != "question" or text.path[-1] != key:
            continue
        length = len(words_in(text.say))
        if length > most:
            yield Fault(
                place=text.place,
                message=f"this has {length} words",
                hint=f"say it in {most}",
            )


def _too_hard(material: Material, voice: str) -> Faults:
    """Grade the texts of one voice in each record, and report the hardest of them."""
    limit = GRADES[voice]
    taught = taught_terms(material)
    for texts in _by_record(material, voice):
        counted = pooled((text.say for text in texts), taught)
        if counted.words >= FEWEST_WORDS and school_grade(counted) > limit:
            hardest = max(texts, key=lambda text: _grade(pooled([text.say], taught)))
            yield Fault(
                place=hardest.place,
                message=f"the {voice} texts here read at grade {school_grade(counted):.1f}",
                hint=f"at most {limit}; shorten sentences and words, this one first",
                level=WARNING,
            )


def _grade(counted: Count) -> float:
    return school_grade(counted) if counted.words else 0.0


def _by_record(material: Material, voice: str) -> Iterable[list[Text]]:
    """Put together the texts of one record; a file of many records has one for each key."""
    records: dict[tuple[str, str | int], list[Text]] = {}
    for text in material.texts:
        if text.voice == voice:
            many = text.document.kind in ("first_steps", "cases", "asked")
            key = (text.document.file, text.path[0] if many else "")
            records.setdefault(key, []).append(text)
    return records.values()


def _pools(material: Material, voice: str) -> Iterable[list[Text]]:
    """Pool questions and steps of a plant or of all controls; prose by the file."""
    pools: dict[str, list[Text]] = {}
    for text in material.texts:
        if text.voice == voice:
            by_file = voice == "prose"
            key = (
                text.document.file if by_file else text.document.plant or text.document.kind
            )
            pools.setdefault(key, []).append(text)
    return pools.values()


def _commonest(texts: list[Text], taught: tuple[str, ...]) -> str:
    words = (word for text in texts for word in words_in(without(text.say, taught)))
    long_ones = Counter(word.lower() for word in words if syllables_in(word) >= 3)
    return ", ".join(word for word, _ in long_ones.most_common(5))
