"""The records of a new plant, out of a grid: what the grid says, and what follows from it.

The patterns of `bedside new` are filled, so that each file explains itself. What a record
needs and no grid holds is worked out where the words of the grid decide it (a look that
could prove a cause wrong, look-alikes and what splits them, a tree), and is plain where
they do not.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from textwrap import fill
from typing import Any

import numpy as np

from bedside.model.records import FREQUENCIES, Answer, Cause, FirstStep, Plant, Sign, Tree
from bedside.read.assemble import make
from bedside.read.grid import Grid, GridCause, GridSign, slug
from bedside.reason.evidence import Evidence, weigh
from bedside.reason.proposal import propose, tree_text

ASK = "write-to-us"  # the step of the pattern, for who is told no other
ASK_DO = "Take a photo and write to us."
COMMON, KIND = "uncommon", "disorder"  # where a row says nothing of it
MOST_TOLD = 4  # lines of `know_it`
PASSES = ("always", "usually", "sometimes")  # answers that fit a cause, in its check
LOOK_ALIKES = 2
SHEET_TROUBLES = 6
PLAIN = re.compile(r"[A-Za-z][\w ,.'?()-]*")
BARE = re.compile(r"(?!(true|false)$)[A-Za-z][\w /'-]*")  # a text within a list
NO_TEXT = ("true", "false")  # what YAML reads as something else
LINE = 92
FROM = "from: [judgement]"


@dataclass(frozen=True, kw_only=True, slots=True)
class Draft:
    """One file: the pattern it is filled from, its id, and the keys that the grid decides.

    A value is YAML as it stands after its key; with none, the key is left out.
    """

    pattern: str
    id: str
    values: Mapping[str, str | None]


def drafts(plant: str, grid: Grid) -> Mapping[str, Draft]:
    """Every sign and cause of a grid, by its path in the folder of the plant."""
    grown = _plant(plant, grid)
    evidence = weigh(grown)
    signs = {f"signs/{it.id}.yaml": _sign(it) for it in grid.signs}
    causes = {
        f"causes/{it.id}.yaml": _cause(grown, evidence, it, _steps(grid))
        for it in grid.causes
    }
    return {**signs, **causes}


def tree_of_grid(plant: str, grid: Grid, schemas: str) -> str:
    """The text of the tree that is proposed."""
    grown = _plant(plant, grid)
    return tree_text(grown, propose(grown), schemas)


def steps_of_grid(grid: Grid) -> str:
    """First steps below those of the pattern: each that a row names, once."""
    return "".join(
        f"{name}:\n  do: {scalar(do)}\n  how:\n"
        f"    - say: Look first, and take a photo to compare.\n      {FROM}\n"
        for do, name in _steps(grid).items()
        if name != ASK
    )


def sheet_troubles(plant: Plant) -> Mapping[str, str]:
    """The lines of a sheet for as many causes as it shows, by their ids."""
    found: dict[str, str] = {}
    for cause in plant.causes.values():
        answer = next(_usual(plant, cause), None)
        if answer and len(found) < SHEET_TROUBLES:
            do = scalar(plant.first_steps[cause.first_step].do)
            see = scalar(answer.says)
            found[cause.id] = (
                f"  {cause.id}:\n    drawing: {answer.id}\n    cause: {cause.id}\n"
                f"    first_step: {cause.first_step}\n    see: {see}\n    do: {do}\n"
                f"    half:\n      see: {see}\n      do: {do}\n    {FROM}"
            )
    return found


def _usual(plant: Plant, cause: Cause) -> Iterator[Answer]:
    for sign, words in cause.evidence.items():
        for answer in plant.signs[sign].answers:
            if words.get(answer.id) in ("always", "usually"):
                yield answer


def filled_in(text: str, values: Mapping[str, str | None]) -> str:
    """The text of a record with other values for some of its keys."""
    for key, value in values.items():
        said = "" if value is None else f"{key}:{value}\n"
        whole = re.compile(rf"^{key}:.*\n(?:[ -].*\n)*", re.MULTILINE)
        shown = re.compile(rf"^# {key}:.*\n(?:#   .*\n)*", re.MULTILINE)
        if found := whole.search(text):
            before, after = text[: found.start()], text[found.end() :]
            text = before + said + after
        elif found := shown.search(text):
            text = text[: found.end()] + said + text[found.end() :]
        else:
            text += said
    return text


def scalar(text: str) -> str:
    """A text as YAML: bare where that is safe, else in single quotes."""
    bare = PLAIN.fullmatch(text) and text not in NO_TEXT
    return text if bare else _quoted(text)


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def _steps(grid: Grid) -> dict[str, str]:
    # What is done, and the id of its step.
    steps = {ASK_DO: ASK}
    for cause in grid.causes:
        do = cause.about.get("first step", "")
        if do and do not in steps:
            name = slug(do, 34) or "step"
            taken = [*steps.values()]
            tries = (name, *(f"{name}-{number}" for number in range(2, len(taken) + 3)))
            steps[do] = next(it for it in tries if it not in taken)
    return steps


def _sign(sign: GridSign) -> Draft:
    listed = {it: says for it, says in sign.answers.items() if it != sign.none}
    answers = "".join(
        f"\n  - id: {it}\n    says: {scalar(says)}{_heard(sign, it, 4)}"
        for it, says in listed.items()
    )
    asked = sign.question[0].lower() + sign.question[1:]
    values = {
        "question": f" {scalar(sign.question)}",
        "where": " Look at the whole plant.",
        "answers": answers,
        "cant_tell": " " + scalar(_cut(f"I can't tell: {asked}")),
        "how_to_check": " Look once more, in good light.",
    }
    if sign.none:
        says = scalar(sign.answers[sign.none])
        values["none"] = f"\n  id: {sign.none}\n  says: {says}{_heard(sign, sign.none, 2)}"
    if sign.normal:
        values["normal"] = f" {sign.normal}"
    return Draft(pattern="sign", id=sign.id, values=values)


def _heard(sign: GridSign, answer: str, indent: int) -> str:
    """The line of an answer's phrases, as many lines long as it needs; none has none."""
    phrases = sign.heard.get(answer)
    if not phrases:
        return ""
    said = ", ".join(it if BARE.fullmatch(it) else _quoted(it) for it in phrases)
    first, below = " " * indent, " " * (indent + 2)
    return "\n" + fill(
        f"words: [{said}]", LINE, initial_indent=first, subsequent_indent=below,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip


def _cut(text: str) -> str:
    return text if len(text) <= 240 else text[:239] + "…"


def _cause(
    plant: Plant, evidence: Evidence, row: GridCause, steps: Mapping[str, str]
) -> Draft:
    cause = plant.causes[row.id]
    check = _check(plant, evidence, cause)
    values = {
        "name": f" {scalar(row.name)}",
        "called": f" {scalar(row.name)}",
        "kind": f" {cause.kind}",
        "common": f" {cause.common}",
        "in_short": f" {scalar(row.about.get('in short') or _most_often(plant, cause))}",
        "short": None,
        "evidence": "".join(
            f"\n  {sign}: {{{', '.join(f'{it}: {word}' for it, word in words.items())}}}"
            for sign, words in cause.evidence.items()
        ),
        "know_it": "".join(
            f"\n  - say: {scalar(it)}\n    {FROM}" for it in _known_by(plant, cause)
        ),
        "look_alikes": "".join(
            f"\n  - cause: {other}\n    split: {scalar(split)}\n    {FROM}"
            for other, split in _look_alikes(plant, evidence, cause)
        )
        or " []",
        "first_step": f" {steps[row.about.get('first step') or ASK_DO]}",
        "works_when": " No new trouble shows.",
        "write_if": " Write if it gets worse, or if you are not sure.",
    }
    return Draft(
        pattern="cause", id=row.id, values=values | ({"check": check} if check else {})
    )


def _most_often(plant: Plant, cause: Cause) -> str:
    return _cut(
        "Most often: " + "; ".join(says for _, _, says in _said(plant, cause)[:2]) + "."
    )


def _known_by(plant: Plant, cause: Cause) -> Iterator[str]:
    for question, word, says in _said(plant, cause)[:MOST_TOLD]:
        yield f"{question} {word.capitalize()}: {says}."


def _said(plant: Plant, cause: Cause) -> list[tuple[str, str, str]]:
    """Question, word and answer of all that is seen with a cause, the most often first."""
    found = [
        (plant.signs[sign].question, word, _says(plant.signs[sign], answer))
        for sign, words in cause.evidence.items()
        for answer, word in words.items()
    ]
    return sorted(found, key=lambda it: FREQUENCIES.index(it[1]))


def _says(sign: Sign, answer: str) -> str:
    return next(it.says for it in sign.all_answers if it.id == answer)


def _check(plant: Plant, evidence: Evidence, cause: Cause) -> str | None:
    """The sign on which most others show what this cause never does; none if all do."""
    row = evidence.causes.index(cause.id)
    best, most = "", 0.0
    for name, words in cause.evidence.items():
        table = evidence.signs[name]
        passes = [
            it for it in range(len(table.answers)) if table.answers[it] in _seen(words)
        ]
        told = table.read[:, passes].sum(axis=1)
        apart = float(told[row] - np.delete(told, row).mean())
        if passes and len(passes) < len(table.answers) and apart > most:
            best, most = name, apart
    if not best:
        return None
    sign, seen = plant.signs[best], _seen(cause.evidence[best])
    fails = [it.id for it in sign.all_answers if it.id not in seen]
    return (
        f"\n  sign: {best}\n  passes: [{', '.join(seen)}]\n  fails: [{', '.join(fails)}]"
        f"\n  do: {scalar(_cut('Look once more. ' + sign.question))}"
        "\n  if_fails: Then it is something else. Go back, and look at the rest again."
    )


def _seen(words: Mapping[str, str]) -> list[str]:
    return [it for it, word in words.items() if word in PASSES]


def _look_alikes(
    plant: Plant, evidence: Evidence, cause: Cause
) -> Iterator[tuple[str, str]]:
    """The causes that are nearest, and what splits each."""
    others = [
        it for it in plant.causes.values() if it.id != cause.id and it.kind != "unlisted"
    ]
    apart = {it.id: _apart(evidence, cause.id, it.id) for it in others}
    nearest = sorted(others, key=lambda it: (round(sum(apart[it.id].values()), 9), it.id))
    for other in nearest[:LOOK_ALIKES]:
        name = max(apart[other.id], key=lambda it: (apart[other.id][it], it))
        sign = plant.signs[name]
        here, there = (_shown(evidence, sign, it.id) for it in (cause, other))
        yield other.id, f"{sign.question} {cause.name}: {here}. {other.name}: {there}."


def _apart(evidence: Evidence, one: str, other: str) -> dict[str, float]:
    # How differently each sign looks with both, of which at least one speaks.
    rows = [evidence.causes.index(it) for it in (one, other)]
    return {
        sign.id: float(np.abs(sign.share[rows[0]] - sign.share[rows[1]]).sum())
        for sign in evidence.signs.values()
        if sign.speaks[rows].any()
    }


def _shown(evidence: Evidence, sign: Sign, cause: str) -> str:
    table = evidence.signs[sign.id]
    return _says(
        sign, table.answers[int(table.share[evidence.causes.index(cause)].argmax())]
    )


def _plant(plant: str, grid: Grid) -> Plant:
    """The records that the arithmetic reads."""
    signs = {it.id: _record(it) for it in grid.signs}
    sign_of = {answer: it.id for it in grid.signs for answer in it.answers}
    causes = {}
    for row in grid.causes:
        evidence: dict[str, dict[str, str]] = {}
        for answer, word in row.words.items():
            evidence.setdefault(sign_of[answer], {})[answer] = word
        said = {"name": row.name, "evidence": evidence, "first_step": ASK,
                "kind": row.about.get("kind", KIND),
                "common": row.about.get("common", COMMON)}  # fmt: skip
        causes[row.id] = make(Cause, said, id=row.id, file="", where_when={})
    rest = {"name": "", "kind": "unlisted", "common": "rare", "first_step": ASK}
    unlisted = f"{plant}-unlisted"
    causes[unlisted] = make(Cause, rest, id=unlisted, file="", where_when={})
    steps = {ASK: make(FirstStep, {"do": ASK_DO}, id=ASK)}
    tree = Tree(file="", first="", questions={}, ends={}, proposed=True)
    given = {"id": plant, "file": "", "signs": signs, "causes": causes, "tree": tree,
             "first_steps": steps, "cases": ()}  # fmt: skip
    return make(Plant, {}, **given)


def _record(sign: GridSign) -> Sign:
    said = [
        {"id": it, "says": says} for it, says in sign.answers.items() if it != sign.none
    ]
    data: dict[str, Any] = {
        "question": sign.question,
        "ease": "fair",
        "looked_at": "leaf",
        "answers": said,
    }
    if sign.normal:
        data["normal"] = sign.normal
    if sign.none:
        data["none"] = {"id": sign.none, "says": sign.answers[sign.none]}
    return make(Sign, data, id=sign.id, file="")
