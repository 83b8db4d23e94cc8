"""Cause pages: how to know a cause, how to prove it wrong, its whole plan; and the list."""

from collections.abc import Iterator, Mapping

from bedside.model.records import SPRAY_TIERS, TIERS, Cause, PlanStep, Plant
from bedside.pages.frame.addresses import CAUSES, cause_address
from bedside.pages.frame.citing import cited
from bedside.pages.frame.desk import Site, SitePage
from bedside.pages.records.record_views import (
    CauseView,
    CheckRow,
    ListedCause,
    PlanStepView,
    SplitView,
    TierView,
    WhereView,
)
from bedside.pages.sheets.key_pages import key_links
from bedside.pages.sheets.sheet_pages import cause_links
from bedside.pages.walk.result_parts import rung_step


def pages(site: Site) -> Iterator[SitePage]:
    """A page for each cause of each plant, then all of them from A to Z."""
    for plant in site.knowledge.plants.values():
        for cause in plant.causes.values():
            yield site.page(
                cause_address(cause.id),
                "cause.html.j2",
                title=cause.name,
                description=cause.in_short,
                view=cause_view(site, plant, cause),
                search=True,
            )
    yield site.page(
        CAUSES,
        "causes.html.j2",
        title=site.words["titles"]["causes"],
        description=site.words["descriptions"]["causes"],
        view=(_listed(site), key_links(site)),
        shell="reference",
        search=True,
    )


def cause_view(site: Site, plant: Plant, cause: Cause) -> CauseView:
    """Everything about one cause."""
    tiers = _tiers(site, cause)
    controls = tuple(step.control for tier in tiers for step in tier.steps)
    step = plant.first_steps[cause.first_step]
    sign = plant.signs[cause.check.sign] if cause.check else None
    return CauseView(
        plant=plant,
        cause=cause,
        tiers=tiers,
        sprays=any(tier.spray for tier in tiers),
        by_hand=any(control.by_hand for control in controls),
        ticks=any(control.closed_when for control in controls),
        splits=tuple(
            _split(plant, cause, place) for place in range(len(cause.look_alikes))
        ),
        question=sign.question if sign else "",
        passes=_rows(plant, cause, cause.check.passes if cause.check else ()),
        fails=_rows(plant, cause, cause.check.fails if cause.check else ()),
        first_step=step.do,
        where=_where(site, cause),
        year=site.year_of(cause.id),
        sheets=cause_links(site, cause),
        sources=cited(site.knowledge.sources, cause, *controls),
        reviewed=cause.reviewed,
    )


def _where(site: Site, cause: Cause) -> tuple[WhereView, ...]:
    return tuple(
        WhereView(zone=zone.name, words=_seasons(site, cause.where_when[zone.id]))
        for zone in site.knowledge.zones.values()
        if zone.id in cause.where_when
    )


def _seasons(site: Site, written: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    context = site.words["context"]
    return tuple(
        (season.name, context[written.get(season.id, "present")])
        for season in site.knowledge.seasons.values()
    )


def _tiers(site: Site, cause: Cause) -> tuple[TierView, ...]:
    controls = site.knowledge.controls
    by_tier: dict[str, list[PlanStep]] = {}
    for step in cause.plan:
        by_tier.setdefault(controls[step.control].tier, []).append(step)
    return tuple(
        TierView(
            tier=tier,
            name=site.words["tiers"][tier],
            spray=tier in SPRAY_TIERS,
            steps=tuple(_step(site, step) for step in by_tier[tier]),
        )
        for tier in TIERS
        if tier in by_tier
    )


def _step(site: Site, step: PlanStep) -> PlanStepView:
    control = site.knowledge.controls[step.control]
    return PlanStepView(
        step=rung_step(control),
        do=step.do,
        when=step.when,
        sources=step.sources,
        control=control,
        drawing=control.id if control.id in site.drawings else "",
    )


def _split(plant: Plant, cause: Cause, place: int) -> SplitView:
    alike = cause.look_alikes[place]
    other = plant.causes[alike.cause]
    return SplitView(
        name=other.name,
        address=cause_address(other.id),
        split=alike.split,
        drawing=other.drawing,
        sources=alike.sources,
    )


def _rows(plant: Plant, cause: Cause, answers: tuple[str, ...]) -> tuple[CheckRow, ...]:
    if cause.check is None:
        return ()
    known = {answer.id: answer for answer in plant.signs[cause.check.sign].all_answers}
    return tuple(
        CheckRow(says=known[id_].says, drawing=known[id_].drawing, shows=known[id_].shows)
        for id_ in answers
    )


def _listed(site: Site) -> tuple[ListedCause, ...]:
    causes = (
        cause for plant in site.knowledge.plants.values() for cause in plant.causes.values()
    )
    return tuple(
        ListedCause(
            name=cause.name,
            latin=cause.latin,
            address=cause_address(cause.id),
            drawing=cause.drawing,
            in_short=cause.in_short,
            kind=site.words["kinds"][cause.kind],
            common=site.words["common"][cause.common],
        )
        for cause in sorted(causes, key=lambda each: _letter(site, each.name))
    )


def _letter(site: Site, name: str) -> str:
    # "A hungry plant" stands under h.
    first, _, rest = name.lower().partition(" ")
    return rest if rest and first in site.words["articles"] else name.lower()
