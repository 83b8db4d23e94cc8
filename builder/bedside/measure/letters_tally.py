"""What the letters of a season say about the records: how often the first cause was right,
and whether a cause is as common among confirmed letters as its record says.

A letter is evidence of what customers write about, in the places and months from which they
write, and of nothing else. So a change is only proposed, with the letters it rests on.
"""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from bedside.measure.tally_rows import Row
from bedside.reason import scale

# A word is proposed if so many letters speak for or against it, and if they are so many
# times as likely under it as under the word that stands there. Basis: judgement.
FEWEST = 5
CLEARLY = 10.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Joined:
    """The letters of some files, each counted once."""

    rows: tuple[Row, ...]
    twice: int  # rows that another file holds as well


@dataclass(frozen=True, kw_only=True, slots=True)
class Share:
    """How many letters of how many."""

    right: int
    of: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Proposal:
    """Another word for how common a cause is, and what it rests on."""

    cause: str
    word: str
    instead: str
    seen: int  # confirmed letters that were of this cause
    of: int  # confirmed letters
    expected: float  # as many as the word that stands there would bring


def joined(files: Iterable[Sequence[Row]]) -> Joined:
    """All rows in the order of their days. What stands in two files is one letter, saved
    twice; rows alike in one file are two letters of one evening."""
    most: Counter[Row] = Counter()
    count = 0
    for rows in files:
        most |= Counter(rows)
        count += len(rows)
    rows = sorted(most.elements(), key=lambda it: it.date)
    return Joined(rows=tuple(rows), twice=count - len(rows))


def by_month(rows: Iterable[Row]) -> Mapping[int, Counter[str]]:
    """The kinds of mail of each month in which letters were answered."""
    counts: dict[int, Counter[str]] = {}
    for row in rows:
        counts.setdefault(row.date.month, Counter())[row.kind] += 1
    return dict(sorted(counts.items()))


def first_right(rows: Iterable[Row]) -> Share:
    """How often the first cause was right, among letters of which the truth is known."""
    told = [row for row in rows if row.truth and row.cause]
    return Share(right=sum(row.truth == row.cause for row in told), of=len(told))


def proposals(rows: Iterable[Row], common: Mapping[str, str]) -> Iterator[Proposal]:
    """Causes of one plant whose share among confirmed letters does not fit their word.

    `common` holds the word of each cause. What is none of ours counts for no cause.
    """
    seen = Counter(row.truth for row in rows if row.truth in common)
    total = sum(seen.values())
    weights = {cause: scale.COMMONNESS[word] for cause, word in common.items()}
    for cause, word in common.items():
        others = sum(weights.values()) - weights[cause]
        shares = {it: weight / (weight + others) for it, weight in scale.COMMONNESS.items()}
        fits = {it: _log_chance(seen[cause], total, share) for it, share in shares.items()}
        best = max(fits, key=lambda it: fits[it])
        expected = total * shares[word]
        enough = max(seen[cause], expected) >= FEWEST
        if enough and best != word and fits[best] - fits[word] >= math.log(CLEARLY):
            yield Proposal(cause=cause, word=word, instead=best, seen=seen[cause], of=total,
                           expected=expected)  # fmt: skip


def _log_chance(seen: int, of: int, share: float) -> float:
    # Of `seen` letters among `of`, but for the factor that is the same for every share.
    if share >= 1:  # a plant with one cause
        return 0.0
    return seen * math.log(share) + (of - seen) * math.log1p(-share)
