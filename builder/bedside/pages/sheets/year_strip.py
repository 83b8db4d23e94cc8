"""The year strip of a region: the middle of what is usual in its towns."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from statistics import median_low

from bedside.language.days import span_in_words
from bedside.model.handout import Handout
from bedside.model.season import DAYS, Place, SeasonKnowledge
from bedside.pages.season.year_drawing import within_year
from bedside.reason.usual_year import task_window, years_of


@dataclass(frozen=True, kw_only=True, slots=True)
class YearRow:
    """A name and from when to when, days of the usual year."""

    name: str
    first: int
    last: int

    @property
    def bars(self) -> tuple[tuple[int, int], ...]:
        """One stretch, or two where it runs over New Year."""
        return within_year(self.first, self.last)

    @property
    def when(self) -> str:
        return span_in_words(self.first, self.last)


@dataclass(frozen=True, kw_only=True, slots=True)
class Strip:
    """What is usual in the middle town of some: rows, frosts, how many towns."""

    rows: tuple[YearRow, ...]
    last_frost: int
    first_frost: int
    towns: int


def strip_of(
    handout: Handout, season: SeasonKnowledge | None, states: Sequence[str] | None
) -> Strip | None:
    """The strip of the states, or of all if none are named; nothing without climate."""
    if season is None:
        return None
    # Where frost is rare or comes in any month, a date would promise too much.
    places = [
        place
        for place in season.places.values()
        if place.frost.kind == "dates" and (states is None or place.state in states)
    ]
    if not places:
        return None
    return Strip(
        rows=(
            *_tasks(handout, season, places),
            # All regions together hatch at no one time.
            *(_hatch(handout, season, places) if states else ()),
        ),
        last_frost=median_low(place.frost.last for place in places),
        first_frost=min(median_low(place.frost.first for place in places), DAYS - 1),
        towns=len(places),
    )


def _tasks(
    handout: Handout, season: SeasonKnowledge, places: Sequence[Place]
) -> Iterator[YearRow]:
    for task in season.tasks:
        if task.id in handout.year:
            found = [task_window(task, place) for place in places]
            yield from _row(task.name, [it for it in found if it], len(places))


def _hatch(
    handout: Handout, season: SeasonKnowledge, places: Sequence[Place]
) -> Iterator[YearRow]:
    """From the first hatch of any insect to the first frost."""
    spans = []
    for place in places:
        days = [
            it.generations[0].hatch.likely
            for it in years_of(place, season)
            if it.generations
        ]
        spans += [(min(days), place.frost.end)] if days else []
    yield from _row(handout.caterpillars, spans, len(places))


def _row(name: str, spans: Sequence[tuple[int, int]], towns: int) -> Iterable[YearRow]:
    # What holds for fewer than half of the towns is not usual there.
    if 2 * len(spans) < towns:
        return ()
    first, last = (median_low(side) for side in zip(*spans, strict=True))
    return (YearRow(name=name, first=first, last=last),)
