"""What one sheet says: records in, plain data for the template out. It measures nothing.

The year strip of a region shows the middle of what is usual in its towns.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import median_low
from typing import Any

from bedside.language.days import in_words, span_in_words, within_year
from bedside.model.handout import Creature, Handout, Trouble
from bedside.model.records import SPRAY_TIERS, Answer, Cause, Claim, Plant
from bedside.model.season import DAYS, Place, SeasonKnowledge
from bedside.pages.frame.addresses import GUIDE_SHORT, cause_address, short_address
from bedside.pages.sheets.printing import Desk, code_for, spoken_address
from bedside.reason.usual_year import task_window, years_of

UNSURE = "unsure"
Data = dict[str, Any]


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
            *_task_rows(handout, season, places),
            # All regions together hatch at no one time.
            *(_hatch_rows(handout, season, places) if states else ()),
        ),
        last_frost=median_low(place.frost.last for place in places),
        first_frost=min(median_low(place.frost.first for place in places), DAYS - 1),
        towns=len(places),
    )


def _task_rows(
    handout: Handout, season: SeasonKnowledge, places: Sequence[Place]
) -> Iterator[YearRow]:
    for task in season.tasks:
        if task.id in handout.year:
            found = [task_window(task, place) for place in places]
            yield from _row_if_usual(task.name, [it for it in found if it], len(places))


def _hatch_rows(
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
    yield from _row_if_usual(handout.pests, spans, len(places))


def _row_if_usual(
    name: str, spans: Sequence[tuple[int, int]], towns: int
) -> Iterable[YearRow]:
    # What holds for fewer than half of the towns is not usual there.
    if 2 * len(spans) < towns:
        return ()
    first, last = (median_low(side) for side in zip(*spans, strict=True))
    return (YearRow(name=name, first=first, last=last),)


def guide(
    desk: Desk, handout: Handout, region: str, strip: Strip | None, *, half: bool
) -> Data:
    """One region's guide, whole or half; `region` is a zone or `unsure`."""
    words, nursery = desk.words, desk.knowledge.nursery
    chosen = handout.regions.get(region, handout.unsure)
    end = "_half" if half else ""
    cautions = handout.cautions_half if half else handout.cautions
    return {
        "kind": "half" if half else "guide",
        "nursery": nursery.name,
        "address": ", ".join(nursery.address),
        "email": nursery.email,
        "email_at": ["nursery.yaml", ["email"]],
        "title": handout.title,
        "place": _place(desk, region),
        "at": [handout.file, ["title"]],
        "today": {
            "head": words["today"],
            "lines": [handout.today_half.say] if half else _said(handout.today),
            "pictures": [
                {**_pictured(desk, it), "says": says}
                for it, says in handout.pictures.items()
            ],
            "at": [handout.file, [f"today{end}"]],
        },
        "troubles": {
            "head": words["troubles"],
            "items": [
                _trouble(desk, handout, handout.troubles[it], half=half) for it in chosen
            ],
        },
        "year": _year(words, strip, named=region != UNSURE),
        "half_year": _half_year(words, strip, named=region != UNSURE),
        "after": (handout.after_half if half else handout.after).say,
        "cautions": {
            "head": words["cautions"],
            "lines": [*_said(cautions), *_poison(desk)],
            "help": (handout.help_half if half else handout.help).say,
            "at": [handout.file, [f"cautions{end}"]],
        },
        "ruler": _ruler(desk, handout),
        "code": _code(desk, desk.address(GUIDE_SHORT)),
    }


def cause_sheet(desk: Desk, cause: Cause) -> Data:
    """One cause's sheet, from its record: all of it but the sprays."""
    short = short_address(cause) if cause.short else cause_address(cause.id)
    return {
        "kind": "cause",
        "nursery": desk.knowledge.nursery.name,
        "email": desk.knowledge.nursery.email,
        "title": cause.name,
        "latin": cause.latin,
        "line": cause.in_short,
        "picture": _picture(desk, cause.drawing, ""),
        "blocks": [it for it in _blocks(desk, cause) if it["lines"]],
        "at": [cause.file, []],
        "code": _code(desk, desk.address(short)),
    }


def _blocks(desk: Desk, cause: Cause) -> Iterator[Data]:
    heads = desk.words["cause"]
    step = desk.plant.first_steps[cause.first_step]
    now = [step.do, *([heads["hands"]] if step.by_hand else [])]
    yield _block(heads["now"], now, now=True)
    yield _block(heads["know"], _said(cause.know_it), listed=True)
    check = cause.check
    yield _block(heads["check"], [f"{check.do} {check.if_fails}"] if check else [])
    yield _block(heads["plan"], list(_plan(desk, cause)), listed=True)
    yield _block(heads["not"], _said(cause.do_not), listed=True)
    again = heads["again"].format(days=cause.look_again_days)
    ending = " ".join(
        (cause.works_when, again if cause.look_again_days else "", cause.write_if)
    )
    yield _block(heads["works"], [" ".join(ending.split())])


def _block(head: str, lines: list[str], *, now: bool = False, listed: bool = False) -> Data:
    return {"head": head, "lines": lines, "now": now, "listed": listed}


def _plan(desk: Desk, cause: Cause) -> Iterator[str]:
    """Every rung but the sprays: those stay behind the check, and a sheet cannot ask."""
    tiers = [desk.knowledge.controls[it.control].tier for it in cause.plan]
    for step, tier in zip(cause.plan, tiers, strict=True):
        if tier not in SPRAY_TIERS:
            # When belongs to it: some steps are only for after a test.
            yield f"{step.do} {step.when}".rstrip()
    if any(tier in SPRAY_TIERS for tier in tiers):
        yield desk.words["cause"]["sprays"]


def _said(claims: Iterable[Claim]) -> list[str]:
    return [claim.say for claim in claims]


def _place(desk: Desk, region: str) -> str:
    if region == UNSURE:
        return str(desk.words["unsure"])
    return str(desk.words["region"]).format(name=desk.knowledge.zones[region].name)


def _poison(desk: Desk) -> Iterator[str]:
    """The number to call, of the nursery's own country."""
    for country in desk.knowledge.emergencies.countries:
        if country.id == desk.knowledge.nursery.country:
            numbers = [it.number for it in country.lines if it.what == "poison"]
            for number in numbers[:1]:
                yield str(desk.words["poison"]).format(number=number)


def answers_of(plant: Plant) -> dict[str, tuple[str, Answer]]:
    """Every answer of a plant with the sign it is an answer of."""
    return {
        answer.id: (sign.id, answer)
        for sign in plant.signs.values()
        for answer in sign.answers
    }


def _pictured(desk: Desk, answer: str) -> Data:
    _, found = answers_of(desk.plant)[answer]
    return _picture(desk, found.drawing, found.shows)


def _picture(desk: Desk, drawing: str, alt: str) -> Data:
    return {"name": f"{desk.plant.id}/{drawing}", "alt": alt}


def _trouble(desk: Desk, handout: Handout, trouble: Trouble, *, half: bool) -> Data:
    said = trouble.half if half else trouble
    return {
        "picture": _pictured(desk, trouble.drawing),
        "see": said.see,
        "do": said.do,
        "at": [handout.file, ["troubles", trouble.id, *(["half"] if half else [])]],
    }


def _year(words: Mapping[str, Any], strip: Strip | None, *, named: bool) -> Data | None:
    if strip is None:
        return None
    told = " ".join(
        words["year_row"].format(name=row.name, when=row.when) for row in strip.rows
    )
    return {
        "head": words["year"],
        "rows": [{"name": row.name, "bars": row.bars} for row in strip.rows],
        "frost": [strip.last_frost, strip.first_frost],
        "frost_words": [] if named else words["frost"],
        "months": words["month_letters"] if named else [],
        "note": words["year_note"].format(towns=strip.towns) if named else "",
        "alt": words["year_alt"].format(rows=told) if named else words["year_unsure"],
    }


def _half_year(words: Mapping[str, Any], strip: Strip | None, *, named: bool) -> str:
    """The longest task in words; months only where a region is named."""
    if strip is None or not strip.rows:
        return ""
    longest = max(strip.rows, key=lambda row: row.last - row.first)
    if not named:
        return str(words["half_unsure"])
    first, last = (in_words(day).split()[0] for day in (longest.first, longest.last))
    return str(words["half_year"]).format(months=f"{first} to {last}")


def _ruler(desk: Desk, handout: Handout) -> Data:
    words = desk.words
    told = " ".join(
        words["creature_alt"].format(
            name=it.name, length=it.length, egg_mm=it.egg_mm, egg=it.egg
        )
        for it in handout.ruler
    )
    return {
        "head": words["ruler"],
        "creatures": [_creature(desk, it) for it in handout.ruler],
        "young": handout.young,
        "alt": words["ruler_alt"].format(creatures=told),
        "at": [handout.file, ["ruler"]],
    }


def _creature(desk: Desk, creature: Creature) -> Data:
    return {
        "picture": _picture(desk, creature.drawing, ""),
        "name": creature.name,
        "length_mm": creature.length_mm,
        "length": creature.length,
        "egg": creature.egg,
        "egg_mm": float(creature.egg_mm),
        "eggs": creature.eggs,
    }


def _code(desk: Desk, url: str) -> Data:
    code = code_for(url, desk.kept)
    shown = spoken_address(url)
    return {
        "svg": code.svg,
        "side": code.side_mm,
        "url": url,
        "address": shown,
        "alt": desk.words["code_alt"].format(address=shown),
        "say": desk.words["code"],
    }
