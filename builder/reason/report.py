"""The records of the report: how good the knowledge and the tree are."""

from dataclasses import dataclass

from builder.reason.case_scores import CaseScores
from builder.reason.scores import Reliability, Score
from builder.reason.slips import Slips


@dataclass(frozen=True, kw_only=True, slots=True)
class CauseQuality:
    """What a gardener meets whose plant has this cause (shares, 0 to 1)."""

    cause: str
    score: Score


@dataclass(frozen=True, kw_only=True, slots=True)
class Strategy:
    """One way of asking. `curve` holds the score if walks stop after 0, 1, 2... looks."""

    common: Score  # causes as common as the records say
    equal: Score  # all causes equally common
    curve: tuple[Score, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Drawn:
    """What drawn gardeners get; standard errors of hits and of right first steps."""

    common: Score
    equal: Score
    drawn: int
    error_first: float
    error_right: float


@dataclass(frozen=True, kw_only=True, slots=True)
class ReaderQuality:
    """What one kind of gardener gets."""

    reader: str
    tree: Strategy
    most_telling: Strategy
    everything: Drawn  # every sign asked: the ceiling
    unordered: Drawn  # as many questions as the tree asks, in random order
    causes: tuple[CauseQuality, ...]
    looks: float  # expected number of questions
    reliability: tuple[Reliability, ...]
    overstated: float


@dataclass(frozen=True, kw_only=True, slots=True)
class MovedQuality:
    """Three in ten words of the table one step off: means and the worst of the tables."""

    tables: int
    right: float
    first: float
    least_right: float
    least_first: float
    overstated: float


@dataclass(frozen=True, kw_only=True, slots=True)
class StrangerQuality:
    """Made-up troubles that are not on the list (shares of gardeners)."""

    cant_tell: float
    unlisted_first: float
    confident: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Quality:
    """All of the report."""

    plant: str
    causes: int
    signs: int
    questions: int
    ends: int
    longest: int
    bits: float  # entropy of the causes before any question
    yes_no_bound: float  # expected yes-or-no questions of the best code, nothing misread
    bound: float  # bits / log2(answers of the widest question): no tree asks fewer
    noisy_bound: float  # the same if answers are misread as the hasty misread them
    one_lie_bound: int  # yes-or-no questions that name a cause though one answer is wrong
    readers: tuple[ReaderQuality, ...]
    moved: MovedQuality
    strangers: StrangerQuality
    one_wrong: Slips
    one_cant_tell: Slips
    unseparated: tuple[tuple[str, str], ...]
    idle_signs: tuple[str, ...]
    idle_questions: tuple[str, ...]
    easier: tuple[tuple[str, float], ...]
    cases: CaseScores | None
