"""The records of knowledge/season, as frozen objects.

Like `bedside.model.records`, nothing here checks shape again. Warmth is in Celsius
degree-days. Days are numbered 0 to 364 (see `bedside.language.days`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Self

from bedside.model.records import Claim

DAYS = 365
FREEZES = ("dates", "rare", "any-month")


@dataclass(frozen=True, kw_only=True, slots=True)
class Thresholds:
    """Between which temperatures growth counts, Celsius."""

    lower: float
    upper: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Warmth:
    """The usual year of one place, in tenths of a degree-day.

    `sums` has 366 whole numbers: `sums[d]` is what has gathered before day d begins. Whole
    numbers because the browser adds up the same table and must come to the same day.
    """

    sums: tuple[int, ...]

    def before(self, day: int) -> int:
        """Tenths gathered from 1 January until `day` begins; days after the year's end
        repeat it.
        """
        years, rest = divmod(day, DAYS)
        return years * self.sums[DAYS] + self.sums[rest]

    def between(self, first: int, end: int) -> int:
        """Tenths gathered from the start of day `first` to the start of day `end`."""
        return self.before(end) - self.before(first)

    @property
    def year(self) -> int:
        """Tenths of a whole usual year."""
        return self.sums[DAYS]


@dataclass(frozen=True, kw_only=True, slots=True)
class Span:
    """A low, a likely and a high value: warmth sums, or days."""

    low: int
    likely: int
    high: int

    def __add__(self, other: "Span") -> "Span":
        return Span(
            low=self.low + other.low,
            likely=self.likely + other.likely,
            high=self.high + other.high,
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Stage:
    """A stage of life and the warmth it takes. An insect's stages run from egg to egg."""

    id: str
    name: str
    sum: Span


@dataclass(frozen=True, kw_only=True, slots=True)
class Sight:
    """Something a gardener can see, and how much of its stage is then done, percent
    from-to.
    """

    id: str
    says: str
    stage: str
    done: tuple[int, int]


@dataclass(frozen=True, kw_only=True, slots=True)
class Box:
    """States, and within them a part: south of a latitude, east of a longitude (whole
    degrees).
    """

    states: tuple[str, ...]
    south_of: int | None = None
    east_of: int | None = None

    def holds(self, state: str, lat: float, lon: float) -> bool:
        """Tell whether a place lies in it."""
        return (
            state in self.states
            and (self.south_of is None or lat < self.south_of)
            and (self.east_of is None or lon > self.east_of)
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Start:
    """How an insect's year begins in some states.

    `all-year`: no start. `date`: the first eggs are laid about that day, give or take some
    days. `warmth`: the first eggs hatch when that sum has gathered since 1 January, not
    sooner than some days after frost.
    """

    kind: str
    where: tuple[Box, ...]
    say: Claim
    day: int = 0
    give_days: int = 0
    sum: Span | None = None
    after_last_freeze: int = 0
    may_not_come: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Treatment:
    """A control that fits into the insect's year: now, or while larvae are young."""

    control: str
    window: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Insect:
    """One insect's warmth. `id` is the id of its cause."""

    id: str
    plant: str
    name: str
    short_name: str
    stages: tuple[Stage, ...]
    young: int  # degree-days after hatching for which a larva is small and in the open
    look: str  # where to look for the young ones
    sights: tuple[Sight, ...]
    starts: tuple[Start, ...]
    elsewhere: Claim
    treatments: tuple[Treatment, ...]
    basis: tuple[Claim, ...]

    @property
    def generation(self) -> Span:
        """Warmth from egg to egg."""
        total = Span(low=0, likely=0, high=0)
        for stage in self.stages:
            total += stage.sum
        return total


@dataclass(frozen=True, kw_only=True, slots=True)
class Task:
    """Something to do in the garden, from some days after one anchor to some days after
    another.
    """

    id: str
    plant: str
    name: str
    shown: str  # the same beside tasks of other plants
    anchor: str
    to_anchor: str
    from_days: int
    to_days: int
    anchor_sum: int  # degree-days since 1 January; only for the anchor `warmth`
    day: int  # only for the anchor `date`
    freezes: tuple[str, ...]  # kinds of places it is for
    if_last_freeze_after: int  # only where the usual last freeze is later than this day
    say: Claim


@dataclass(frozen=True, kw_only=True, slots=True)
class Growth:
    """What the sums are counted with, and the words that say how far to trust them."""

    thresholds: Thresholds
    spread_tenths: tuple[int, ...]  # January to December, tenths of a degree Celsius
    weather_days: int
    calendar_from: int
    calendar_years: int
    method: tuple[Claim, ...]
    reviewed: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Frost:
    """Usual frost at a place. `first` may be 365 or more: the first freeze comes after New
    Year.
    """

    kind: str  # dates, rare, any-month
    last: int = 0
    first: int = 0

    @property
    def end(self) -> int:
        """Day at which the growing year ends: the first freeze, or the last day of the
        year.
        """
        return min(self.first, DAYS) if self.kind == "dates" else DAYS


@dataclass(frozen=True, kw_only=True, slots=True)
class Town:
    """A weather station's town."""

    id: str
    name: str
    state: str
    lat: float
    lon: float
    elevation_m: int
    frost: Frost


@dataclass(frozen=True, kw_only=True, slots=True)
class Place(Town):
    """A town and its usual warmth."""

    warmth: Warmth


@dataclass(frozen=True, kw_only=True, slots=True)
class Normals:
    """What a town's warmth is counted from: a number for each month."""

    low_f: tuple[float, ...]
    high_f: tuple[float, ...]
    spread_c: tuple[float, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class ZipArea:
    """The places whose ZIP codes begin with three digits, and the town that stands for
    them.
    """

    digits: str
    state: str
    place: str
    distance_km: int
    frost: Frost
    frost_elevation_m: int


# Compared as an object: who reads the same tables again is given the same one.
@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class SeasonRecords:
    """What the season's records and tables say as they stand."""

    growth: Growth
    insects: tuple[Insect, ...]
    tasks: tuple[Task, ...]
    zips: Mapping[str, ZipArea]
    states: Mapping[str, str]  # postal code -> name
    credits: tuple[Claim, ...]

    def of(self, plant: str) -> Self:
        """The season of one plant alone."""
        return replace(
            self,
            tasks=tuple(it for it in self.tasks if it.plant == plant),
            insects=tuple(it for it in self.insects if it.plant == plant),
        )


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class SeasonTables(SeasonRecords):
    """The season as read, before any warmth is counted: enough to check and to address."""

    towns: Mapping[str, Town]
    normals: Mapping[str, Normals]  # by town


@dataclass(frozen=True, kw_only=True, slots=True)
class SeasonKnowledge(SeasonRecords):
    """Everything the season pages are made from."""

    places: Mapping[str, Place]
