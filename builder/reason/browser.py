"""The tables as data for the browser, so that no number and no constant lives twice.

Shares travel as whole billionths; equal rows of a sign are written once and pointed at.
"""

from builder.reason import scale
from builder.reason.evidence import PARTS, Evidence, SignTable, StepTable, Table

Json = dict[str, object]


def browser_table(evidence: Evidence) -> Json:
    """Everything that the browser's module of the same arithmetic reads, ready for JSON."""
    return {
        "parts": PARTS,
        "causes": list(evidence.causes),
        "prior": _parts(evidence.prior),
        "context": {
            zone: {season: factor.tolist() for season, factor in seasons.items()}
            for zone, seasons in evidence.context.items()
        },
        "signs": {name: _sign(sign) for name, sign in evidence.signs.items()},
        "families": {name: list(places) for name, places in evidence.families.items()},
        "steps": [_step(step) for step in evidence.steps],
        "checks": {
            cause: {
                "sign": check.sign,
                "passes": list(check.passes),
                "fails": list(check.fails),
            }
            for cause, check in evidence.checks.items()
        },
        "scale": {
            "bands": [list(band) for band in scale.BANDS],
            "named": scale.NAMED_FROM,
            "likely": scale.LIKELY_FROM,
            "family": scale.FAMILY_ADDS,
            "tenths": scale.MOST_TENTHS,
            "harm": scale.HARM,
            "two": scale.TWO_AT_ONCE,
            "needed": dict(scale.NEEDED_SHARE),
        },
    }


def _sign(sign: SignTable) -> Json:
    rows = [tuple(_parts(row)) for row in sign.read]
    distinct = list(dict.fromkeys(rows))
    found: Json = {
        "answers": list(sign.answers),
        "rows": [list(row) for row in distinct],
        "row": [distinct.index(row) for row in rows],
        "cant": sign.cant_tell,
        "silent": (~sign.speaks).nonzero()[0].tolist(),
    }
    if sign.group:
        found["group"] = sign.group
    if sign.needs:
        found["needs"] = {name: list(answers) for name, answers in sign.needs.items()}
    return found


def _step(step: StepTable) -> Json:
    return {
        "id": step.id,
        "right": (step.right & ~step.harms).nonzero()[0].tolist(),
        "harms": step.harms.nonzero()[0].tolist(),
    }


def _parts(row: Table) -> list[int]:
    return [round(share * PARTS) for share in row.tolist()]
