"""The records of the report: how good the knowledge, the tree and the arithmetic are."""

from collections.abc import Mapping
from dataclasses import dataclass

from bedside.measure.case_scores import CaseScores
from bedside.measure.scores import Reliability, Score
from bedside.measure.wrong_answers import WrongAnswers

# Ways of asking, in the order in which they are shown.
LINKS = "links"  # scripts off: the tree by its links alone
TREE = "tree"  # the tree, and nothing after it
FINISHED = "finished"  # the tree, finished by arithmetic: what the site does
MORE = "more"  # ... with the looks that the result still offers
EVERY = "every"  # ... and on, until no look is left that makes sense
AT_ONCE = "at-once"  # every sign, sense or not: what the others are held against
TELLING = "telling"  # no tree: always the most telling look
RANDOM = "random"  # as many looks in random order
NOTHING = "nothing"


@dataclass(frozen=True, kw_only=True, slots=True)
class CauseQuality:
    """What a gardener meets whose plant has this cause (shares, 0 to 1)."""

    cause: str
    score: Score


@dataclass(frozen=True, kw_only=True, slots=True)
class Way:
    """One way of asking. All are tried on the same drawn gardeners; `links` is exact."""

    score: Score  # causes as common as the records say
    equal: Score  # all causes equally common
    error_right: float  # standard errors of right first steps and of hits
    error_first: float
    of_every_right: float  # shares of what every look comes to in the same run
    of_every_first: float
    looks: float  # asked on average
    longest: int
    reliability: tuple[Reliability, ...]
    overstated: float
    curve: tuple[Score, ...]  # if walks stop after 0, 1, 2 ... looks; empty if not followed


@dataclass(frozen=True, kw_only=True, slots=True)
class ReaderQuality:
    """What one kind of gardener gets."""

    reader: str
    ways: Mapping[str, Way]
    causes: tuple[CauseQuality, ...]  # of the finished walks
    asked: int  # questions in all drawn walks, the looks of results among them
    senseless: int  # of these, how many made no sense after what was said before


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
    bits: float  # entropy of the causes before any question
    per_cause: int  # gardeners drawn for each cause
    readers: tuple[ReaderQuality, ...]
    moved: MovedQuality
    strangers: StrangerQuality
    one_wrong: WrongAnswers
    one_cant_tell: WrongAnswers
    unseparated: tuple[tuple[str, str], ...]
    idle_signs: tuple[str, ...]
    idle_questions: tuple[str, ...]
    easier: tuple[tuple[str, float], ...]
    cases: CaseScores | None
