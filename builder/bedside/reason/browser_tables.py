"""The tables as data for the browser, so that no number and no constant lives twice.

Shares travel as whole billionths; equal rows of a sign are written once and pointed at.
"""

from collections.abc import Mapping

import numpy as np

from bedside.model.records import MEMORY, DisprovingCheck, Tree
from bedside.reason import scale
from bedside.reason.evidence import PARTS, Evidence, SignTable, StepTable, Table

Json = dict[str, object]


def browser_table(evidence: Evidence) -> Json:
    """Everything that the browser's module of the same arithmetic reads, ready for JSON."""
    wholes = {
        name: frozenset(sign.answers) - {sign.none} for name, sign in evidence.signs.items()
    }
    return {
        "parts": PARTS,
        "causes": list(evidence.causes),
        "prior": _parts(evidence.prior),
        "context": {
            zone: {season: factor.tolist() for season, factor in seasons.items()}
            for zone, seasons in evidence.context.items()
        },
        "signs": {name: _sign(sign, wholes) for name, sign in evidence.signs.items()},
        "families": {name: list(places) for name, places in evidence.families.items()},
        "steps": [_step(step) for step in evidence.steps],
        "own": [list(places) for places in evidence.own],
        "ask": evidence.ask,
        "checks": {cause: _check(check) for cause, check in evidence.checks.items()},
        "scale": _scale(len(evidence.signs)),
    }


def browser_tree(tree: Tree) -> Json:
    """The tree as the browser walks it: each question as [sign, ways, otherwise]."""
    return {
        "first": tree.first,
        "questions": {
            name: [it.sign, dict(it.ways), it.otherwise]
            for name, it in tree.questions.items()
        },
    }


def _scale(signs: int) -> Json:
    return {
        "bands": [list(band) for band in scale.BANDS],
        "named": scale.NAMED_FROM,
        "likely": scale.LIKELY_FROM,
        "family": scale.FAMILY_ADDS,
        "tenths": scale.MOST_TENTHS,
        "harm": scale.HARM,
        "borne": scale.HARM_BORNE,
        "idle": scale.IDLE_FROM,
        "two": scale.TWO_AT_ONCE,
        "twoFrom": scale.TWO_FROM,
        "needed": dict(scale.NEEDED_SHARE),
        "sure": scale.SURE_ENOUGH,
        "looks": scale.MOST_LOOKS,
        "more": scale.MORE_LOOKS,
        "worth": scale.LEAST_WORTH,
        "change": scale.LEAST_CHANGE,
        "near": [scale.NEAR, scale.BESIDE, scale.FAR],
        "neighbours": sorted(sorted(pair) for pair in scale.NEIGHBOURS),
        "memory": MEMORY,
        "speaks": scale.SPEAKS_FROM,
        "shown": scale.SHOWN_FROM,
        "also": scale.MOST_ALSO,
        "compare": scale.TO_COMPARE,
        "supports": list(scale.SUPPORTS),
        "opposes": list(scale.OPPOSES),
        "tokens": [scale.MOST_TOKENS, scale.LONGEST_TOKEN],
        "letters": scale.letters_of(signs),
        "deniedShown": scale.DENIED_SHOWN_FROM,
        "deniedBelow": scale.DENIED_BELOW,
    }


def _sign(sign: SignTable, wholes: Mapping[str, frozenset[str]]) -> Json:
    rows = [tuple(_parts(row)) for row in sign.read]
    distinct = list(dict.fromkeys(rows))
    denied = [np.flatnonzero(row < scale.DENIED_BELOW).tolist() for row in sign.share]
    found: Json = {
        "answers": list(sign.answers),
        "rows": [list(row) for row in distinct],
        "row": [distinct.index(row) for row in rows],
        "cant": sign.cant_tell,
        "silent": (~sign.speaks).nonzero()[0].tolist(),
        "at": sign.looked_at,
        "denied": [denied[rows.index(row)] for row in distinct],
    }
    if sign.group:
        found["group"] = sign.group
    if sign.needs:
        found["needs"] = {name: list(answers) for name, answers in sign.needs.items()}
    if sign.not_after:
        found["notAfter"] = _shortened(sign.not_after, wholes)
    if sign.none:
        found["none"] = sign.none
    return found


def _shortened(answers: frozenset[str], wholes: Mapping[str, frozenset[str]]) -> list[str]:
    """A sign's id stands for all of its answers but "none of these"."""
    signs = [name for name, whole in wholes.items() if whole and whole <= answers]
    rest = answers.difference(*(wholes[name] for name in signs))
    return [*signs, *sorted(rest)]


def _step(step: StepTable) -> Json:
    found: Json = {
        "id": step.id,
        "right": (step.right & ~step.harms).nonzero()[0].tolist(),
        "harms": step.harms.nonzero()[0].tolist(),
    }
    for name, ids in (
        ("asks", step.asks), ("told", step.told), ("bars", step.rules_out)
    ):  # fmt: skip
        if ids:
            found[name] = sorted(ids)
    if step.idle:
        found["idle"] = True
    return found


def _check(check: DisprovingCheck) -> Json:
    return {
        "sign": check.sign,
        "passes": list(check.passes),
        "fails": list(check.fails),
        "toldBy": list(check.told_by),
    }


def _parts(row: Table) -> list[int]:
    return [round(share * PARTS) for share in row.tolist()]
