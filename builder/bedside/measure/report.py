"""The records of the report, how good knowledge, tree and arithmetic are; and the goals
that this project set itself, each beside what is measured.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from bedside.reason.scale import MOST_LOOKS

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
class Score:
    """Shares of gardeners (0 to 1); right + wasted + harmful = 1."""

    right: float  # the first step shown is right for what is truly there
    wasted: float
    harmful: float
    idle_wrong: float  # told to leave all as it is where that is not right
    first: float  # the true cause is ranked first
    three: float  # ... or among the first three
    confident_wrong: float  # what is shown as very likely is not true
    cant_tell: float  # nothing is named yet


@dataclass(frozen=True, kw_only=True, slots=True)
class Reliability:
    """Of the gardeners shown "n in 10", the share that is right."""

    tenths: int
    gardeners: float
    computed: float
    true: float
    error: float = 0.0  # standard error of `true` where gardeners were drawn


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
class CaseWay:
    """Cases told in one way: "findings", "questions", "random" or "nothing"."""

    name: str
    told: float  # answers that are known, on average
    score: Score
    first_interval: tuple[float, float]  # Wilson, 95 %
    three_interval: tuple[float, float]
    brier: float
    log_score: float


@dataclass(frozen=True, kw_only=True, slots=True)
class CauseCases:
    """The cases of one cause: how many, and how many are named first and in three."""

    cause: str
    count: int
    first: int
    three: int


@dataclass(frozen=True, kw_only=True, slots=True)
class SpecialCases:
    """Counts of cases with two troubles and of cases off the list."""

    two: int
    two_in_three: int  # both are among the first three
    two_told: int  # two at once is the likelier reading
    off_list: int
    off_list_quiet: int  # no cause is called very likely


@dataclass(frozen=True, kw_only=True, slots=True)
class CaseScores:
    """Scores of `count` cases; `also` lets a cause count that the source accepts too."""

    count: int
    ways: tuple[CaseWay, ...]
    also_first: float
    also_three: float
    reliability: tuple[Reliability, ...]
    causes: tuple[CauseCases, ...]
    confused: tuple[tuple[str, str, int], ...]  # true, named first instead, how often
    special: SpecialCases
    missed: tuple[str, ...]  # cases whose cause is not among the first three


@dataclass(frozen=True, kw_only=True, slots=True)
class WrongAnswers:
    """Shares (0 to 1) of `count` changed answers.

    `riskier`: a spray opened that was closed, though no check passed anew.
    """

    count: int
    first: float
    three: float
    possible: float
    riskier: float


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


@dataclass(frozen=True, kw_only=True, slots=True)
class Goal:
    """What was wanted and what came out for one kind of gardener."""

    id: str
    reader: str
    found: float
    bound: float
    at_least: bool  # else at most

    @property
    def met(self) -> bool:
        return self.found >= self.bound if self.at_least else self.found <= self.bound


# What is measured, and the bound for careful and for hasty gardeners; None where nothing is
# wanted of them.
Wanted = tuple[Callable[[ReaderQuality], float], float, float | None]
AT_LEAST: Mapping[str, Wanted] = {
    "right-of-every": (lambda it: it.ways[FINISHED].of_every_right, 0.87, 0.83),
    "first-of-every": (lambda it: it.ways[FINISHED].of_every_first, 0.83, 0.79),
    "right-with-more": (lambda it: it.ways[MORE].of_every_right, 0.91, None),
    "first-with-more": (lambda it: it.ways[MORE].of_every_first, 0.88, None),
    "right-by-links": (lambda it: it.ways[LINKS].score.right, 0.50, 0.43),
    "first-by-links": (lambda it: it.ways[LINKS].score.first, 0.38, 0.30),
}
AT_MOST: Mapping[str, Wanted] = {
    "looks": (lambda it: it.ways[FINISHED].looks, 6.6, None),
    "longest-walk": (lambda it: it.ways[FINISHED].longest, MOST_LOOKS, MOST_LOOKS),
    "harmful": (lambda it: max(score.harmful for score in _shown(it)), 0.001, 0.001),
    "idle-wrong": (lambda it: max(score.idle_wrong for score in _shown(it)), 0.02, 0.02),
    "confident-wrong": (
        lambda it: it.ways[FINISHED].score.confident_wrong, 0.025, 0.035,
    ),
    "overstated": (lambda it: it.ways[FINISHED].overstated, 0.03, 0.03),
    "senseless": (lambda it: it.senseless, 0, 0),
}  # fmt: skip


def goals(quality: Quality) -> tuple[Goal, ...]:
    """All goals, once for each kind of gardener."""
    return (*_goals(quality, AT_LEAST, True), *_goals(quality, AT_MOST, False))


def _goals(
    quality: Quality, wanted: Mapping[str, Wanted], at_least: bool
) -> Iterator[Goal]:
    for id_, (found, careful, hasty) in wanted.items():
        for reader in quality.readers:
            bound = {"careful": careful, "hasty": hasty}[reader.reader]
            if bound is not None:
                yield Goal(
                    id=id_,
                    reader=reader.reader,
                    found=found(reader),
                    bound=bound,
                    at_least=at_least,
                )


def _shown(reader: ReaderQuality) -> Iterator[Score]:
    """What comes of the ways of asking that the site itself takes."""
    return (reader.ways[way].score for way in (LINKS, FINISHED, MORE))
