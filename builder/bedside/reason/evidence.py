"""What the arithmetic reads: what was told, and what each answer says of each cause.

`weigh` makes the tables from one plant's words; they are made once and never changed.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bedside.model.records import MEMORY, DisprovingCheck

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
