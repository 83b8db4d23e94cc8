"""What the arithmetic reads: what was told, and what each answer says of each cause.

`weigh` turns the words of one plant into tables that add up; they are made once and never
changed.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bedside.model.records import MEMORY, Cause, DisprovingCheck, FirstStep, Plant, Sign
from bedside.reason import scale

Table = NDArray[np.float64]
# Shares are whole numbers of billionths, so that every reader has the same numbers.
PARTS = 10**9

Findings = Mapping[str, str | None]  # sign -> answer; None: asked, "I can't tell"


@dataclass(frozen=True, kw_only=True, slots=True)
class Context:
    """Where and when, "" for not known; `equal`: all causes equally common instead.

    `words`: the leading causes by the words of a letter, in tenths; see `from_words`.
    """

    zone: str = ""
    season: str = ""
    equal: bool = False
    words: tuple[tuple[str, int], ...] = ()


ANYWHERE = Context()


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class SignTable:
    """One sign. Tables are causes x answers and each row sums to 1."""

    id: str
    answers: tuple[str, ...]
    share: Table  # what is there
    read: Table  # what a gardener is taken to say: never zero
    speaks: NDArray[np.bool_]  # which causes say anything about this sign
    accuracy: float  # of a careful gardener; `read` trusts less (`scale.trusted`)
    cant_tell: float
    group: str
    needs: Mapping[str, tuple[str, ...]]
    not_after: frozenset[str] = frozenset()  # answers after which it makes no sense
    looked_at: str = MEMORY
    none: str = ""  # the answer "none of these", the last one where there is one
    mistaken: Table | None = None  # how readily each answer is said by mistake; None: alike


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class StepTable:
    """One first step: for which causes it is right, and which it harms."""

    id: str
    right: NDArray[np.bool_]
    harms: NDArray[np.bool_]
    asks: frozenset[str] = frozenset()  # signs that it has one look at
    told: frozenset[str] = frozenset()  # answers to them that it has words for
    rules_out: frozenset[str] = frozenset()  # signs that it leaves no way to look at
    idle: bool = False


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Evidence:
    """All that the arithmetic knows of one plant. Compared and hashed by identity."""

    causes: tuple[str, ...]
    prior: Table
    context: Mapping[str, Mapping[str, Table]]  # zone -> season -> factor; "" is unknown
    signs: Mapping[str, SignTable]
    answers: Mapping[str, tuple[str, int]]  # answer id -> its sign and column
    families: Mapping[str, tuple[int, ...]]  # family -> places of its causes
    steps: tuple[StepTable, ...]
    own: tuple[tuple[int, ...], ...]  # of each cause: places of its steps, its own first
    ask: int | None  # the place of the step for a cause that is on no list
    checks: Mapping[str, DisprovingCheck]  # cause -> the look that could prove it wrong
    grid: Table  # signs x answers x causes: `read` of all signs, padded with zeros


def frozen(array: Table) -> Table:
    """The array itself, made read-only."""
    array.flags.writeable = False
    return array


def weigh(plant: Plant) -> Evidence:
    """Turn a plant's words into tables. Causes are in the order of their ids."""
    causes = tuple(plant.causes[key] for key in sorted(plant.causes))
    prior = exact(np.array([scale.COMMONNESS[cause.common] for cause in causes]))
    signs = {
        sign.id: _sign_table(sign, plant.signs, causes, prior)
        for sign in plant.signs.values()
    }
    return Evidence(
        causes=tuple(cause.id for cause in causes),
        prior=prior,
        signs=signs,
        answers=columns_of(signs),
        context=_context(causes),
        families=_families(causes),
        steps=tuple(_step(step, causes) for step in plant.first_steps.values()),
        own=_own(plant, causes),
        ask=_ask(plant),
        checks={cause.id: cause.check for cause in causes if cause.check is not None},
        grid=grid_of(tuple(signs.values()), len(causes)),
    )


def columns_of(signs: Mapping[str, SignTable]) -> dict[str, tuple[str, int]]:
    """The sign and the column of every answer."""
    return {
        answer: (sign.id, column)
        for sign in signs.values()
        for column, answer in enumerate(sign.answers)
    }


def grid_of(signs: Sequence[SignTable], causes: int) -> Table:
    """What is said to each sign with each cause: signs x answers x causes."""
    widest = max((len(sign.answers) for sign in signs), default=0)
    grid = np.zeros((len(signs), widest, causes))
    for place, sign in enumerate(signs):
        grid[place, : len(sign.answers)] = sign.read.T
    return frozen(grid)


def misread(share: Table, right: float, mistaken: Table | None = None) -> Table:
    """What is said when what is there is read right with chance `right`, else another.

    P'(x) = a P(x) + (1 - a) w(x) sum of P(y) / (W - w(y)) over all y but x, for answers in
    the last axis. `mistaken`, w, says how readily each is given by mistake; W is its sum.
    Where all are alike, that is a P(x) + (1 - a)(1 - P(x)) / (k - 1), for k answers.
    """
    weights = np.ones(share.shape[-1]) if mistaken is None else mistaken
    parts = share / (weights.sum() - weights)
    wrong = weights * (parts.sum(axis=-1, keepdims=True) - parts)
    return np.asarray(right * share + (1 - right) * wrong)


def shares_of_words(sign: Sign, words: Mapping[str, str]) -> Table:
    """How often each answer of a sign is there, from the words one cause has for them.

    An answer without a word is `never`; "none of these" without a word takes what is left.
    """
    weights = [
        scale.FREQUENCY[words.get(answer.id, "never")] for answer in sign.all_answers
    ]
    if sign.none is not None and sign.none.id not in words:
        said = sum(scale.FREQUENCY[words[a.id]] for a in sign.answers if a.id in words)
        weights[-1] = max(1 - said, scale.FREQUENCY["never"])
    row = np.array(weights)
    return np.asarray(row / row.sum())


def assumed(sign: Sign, cause: Cause) -> Mapping[str, str]:
    """What a cause that does not mention a sign is taken to say of it: the normal answer,
    usually. What is on no list may show anything, and says nothing."""
    if not sign.normal or cause.kind == "unlisted" or cause.evidence.get(sign.id):
        return {}
    return {sign.normal: "usually"}


def exact(weights: Table) -> Table:
    """Shares in whole billionths that sum to exactly one; what rounding leaves goes to the
    largest remainders (Hamilton's method). Rows are in the last axis."""
    parts = weights / weights.sum(axis=-1, keepdims=True) * PARTS
    whole = np.floor(parts)
    left = np.rint(PARTS - whole.sum(axis=-1, keepdims=True))
    place = np.argsort(np.argsort(whole - parts, axis=-1, kind="stable"), axis=-1)
    return frozen((whole + (place < left)) / PARTS)


def senseless_after(sign: Sign, signs: Mapping[str, Sign]) -> frozenset[str]:
    """Every answer after which a sign makes no sense."""
    answers: set[str] = set()
    for name in sign.not_after:
        other = signs.get(name)
        answers |= {answer.id for answer in other.answers} if other else {name}
    return frozenset(answers)


def _sign_table(
    sign: Sign, signs: Mapping[str, Sign], causes: Sequence[Cause], prior: Table
) -> SignTable:
    answers = tuple(answer.id for answer in sign.all_answers)
    share, speaks = _share(sign, causes, prior)
    trusted = scale.trusted(sign.ease, len(answers))
    telltale = np.array([it.telltale for it in sign.all_answers])
    mistaken = frozen(np.where(telltale, scale.TELLTALE, 1.0))
    return SignTable(
        id=sign.id,
        answers=answers,
        share=frozen(share),
        read=exact(misread(share, trusted, mistaken)),
        speaks=speaks,
        accuracy=scale.accuracy(sign.ease, len(answers)),
        cant_tell=scale.CANT_TELL[sign.ease],
        group=sign.group,
        needs=sign.needs,
        not_after=senseless_after(sign, signs),
        none=sign.none.id if sign.none else "",
        looked_at=sign.looked_at,
        mistaken=mistaken,
    )


def _share(
    sign: Sign, causes: Sequence[Cause], prior: Table
) -> tuple[Table, NDArray[np.bool_]]:
    # A silent cause gets the average of all others, so that no answer moves it.
    speaks = np.array([bool(cause.evidence.get(sign.id)) for cause in causes])
    told = [cause.evidence.get(sign.id) or assumed(sign, cause) for cause in causes]
    known = np.array([bool(words) for words in told])
    share = np.full((len(causes), len(sign.all_answers)), 1 / len(sign.all_answers))
    for place in np.flatnonzero(known).tolist():
        share[place] = shares_of_words(sign, told[place])
    if known.any():
        share[~known] = prior[known] @ share[known] / prior[known].sum()
    return share, speaks


def _context(causes: Sequence[Cause]) -> dict[str, dict[str, Table]]:
    zones = sorted({zone for cause in causes for zone in cause.where_when})
    seasons = sorted(
        {
            season
            for cause in causes
            for of_zone in cause.where_when.values()
            for season in of_zone
        }
    )
    return {
        zone: {
            season: frozen(
                np.array(
                    [
                        _factor(
                            cause,
                            (zone,) if zone else zones,
                            (season,) if season else seasons,
                        )
                        for cause in causes
                    ]
                )
            )
            for season in ("", *seasons)
        }
        for zone in ("", *zones)
        if zones
    }


def _factor(cause: Cause, zones: Sequence[str], seasons: Sequence[str]) -> float:
    # Not knowing the zone or the season is the plain mean over them.
    if not cause.where_when:
        return 1.0
    factors = [
        scale.CONTEXT[cause.where_when.get(zone, {}).get(season, "present")]
        for zone in zones
        for season in seasons
    ]
    return sum(factors) / len(factors)


def _families(causes: Sequence[Cause]) -> dict[str, tuple[int, ...]]:
    names = sorted({cause.family for cause in causes if cause.family})
    places = {
        name: tuple(i for i, cause in enumerate(causes) if cause.family == name)
        for name in names
    }
    return {name: members for name, members in places.items() if len(members) > 1}


def _step(step: FirstStep, causes: Sequence[Cause]) -> StepTable:
    return StepTable(
        id=step.id,
        right=np.array([step.id in (c.first_step, *c.also_right) for c in causes]),
        harms=np.array([step.id in c.harmed_by for c in causes]),
        asks=frozenset(step.asks),
        told=frozenset(step.do_after),
        rules_out=frozenset(step.rules_out),
        idle=step.idle,
    )


def _own(plant: Plant, causes: Sequence[Cause]) -> tuple[tuple[int, ...], ...]:
    place = {step: at for at, step in enumerate(plant.first_steps)}
    return tuple(
        tuple(place[it] for it in (cause.first_step, *cause.also_right) if it in place)
        for cause in causes
    )


def _ask(plant: Plant) -> int | None:
    steps = [it.first_step for it in plant.causes.values() if it.kind == "unlisted"]
    known = list(plant.first_steps)
    return known.index(steps[0]) if steps and steps[0] in known else None
