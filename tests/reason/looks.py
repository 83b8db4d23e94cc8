"""Every look that can be had with what each answer would bring: slow, and plain to test."""

from dataclasses import dataclass

from bedside.reason.evidence import ANYWHERE, Context, Evidence, Findings
from bedside.reason.findings import open_signs
from bedside.reason.next_look import gains
from bedside.reason.ranking import SAME, Ranking, rank


@dataclass(frozen=True, kw_only=True, slots=True)
class LookAnswer:
    """One answer the look may have, its chance (0 to 1), and what would then be ranked."""

    answer: str
    chance: float
    ranking: Ranking


@dataclass(frozen=True, kw_only=True, slots=True)
class Look:
    """One sign to look at next. `gain` in bits if it can be told; `worth` allows for those
    who can't."""

    sign: str
    gain: float
    worth: float
    answers: tuple[LookAnswer, ...]


def looks(
    evidence: Evidence, findings: Findings, context: Context = ANYWHERE
) -> tuple[Look, ...]:
    """Every look that can be had now, the most worth having first."""
    bits = gains(evidence, findings, context)
    found = [
        _look(evidence, name, findings, context, float(bits[name]))
        for name in open_signs(evidence, findings)
    ]
    return tuple(sorted(found, key=lambda look: -round(look.worth, SAME)))


def _look(
    evidence: Evidence, name: str, findings: Findings, context: Context, gain: float
) -> Look:
    sign = evidence.signs[name]
    chance = rank(evidence, findings, context).vector @ sign.read
    return Look(
        sign=name,
        gain=gain,
        worth=gain * (1 - sign.cant_tell),
        answers=tuple(
            LookAnswer(
                answer=answer,
                chance=float(chance[column]),
                ranking=rank(evidence, {**findings, name: answer}, context),
            )
            for column, answer in enumerate(sign.answers)
        ),
    )
