"""Control pages: one measure each, all of them by tier, and what we advise against."""

from collections.abc import Iterator

from bedside.model.records import SPRAY_TIERS, TIERS, Control
from bedside.pages.frame.addresses import (
    CONTROLS,
    NOT_RECOMMENDED,
    cause_address,
    control_address,
)
from bedside.pages.frame.citing import cited
from bedside.pages.frame.desk import Site, SitePage
from bedside.pages.frame.views import Named
from bedside.pages.records.record_views import ControlGroup, ControlView, ListedControl

AGAINST = "advised-against"


def pages(site: Site) -> Iterator[SitePage]:
    """A page for each control, the list of all, and the list of what not to do."""
    controls = site.knowledge.controls.values()
    for control in controls:
        yield site.page(
            control_address(control.id),
            "control.html.j2",
            title=control.name,
            description=control.in_short,
            view=control_view(site, control),
            search=True,
        )
    yield _index(site, "controls", CONTROLS, tuple(t for t in TIERS if t != AGAINST))
    against = tuple(control for control in controls if control.tier == AGAINST)
    yield site.page(
        NOT_RECOMMENDED,
        "not_recommended.html.j2",
        title=site.words["titles"]["not_recommended"],
        description=site.words["descriptions"]["not_recommended"],
        view=tuple(control_view(site, control) for control in against),
        shell="reference",
        search=True,
    )


def control_view(site: Site, control: Control) -> ControlView:
    """Everything about one control, and the causes whose plan it stands in."""
    plants = site.knowledge.plants.values()
    used = (
        Named(name=cause.name, address=cause_address(cause.id))
        for plant in plants
        for cause in plant.causes.values()
        if any(step.control == control.id for step in cause.plan)
    )
    return ControlView(
        control=control,
        tier=site.words["tiers"][control.tier],
        spray=control.tier in SPRAY_TIERS,
        used_for=tuple(sorted(used, key=lambda each: each.name.lower())),
        closed={site.words["ticks"][t]: claim for t, claim in control.closed_when.items()},
        drawing=control.id if control.id in site.drawings else "",
        sources=cited(site.knowledge.sources, control),
        reviewed=control.reviewed,
    )


def _index(site: Site, name: str, address: str, tiers: tuple[str, ...]) -> SitePage:
    groups = tuple(_group(site, tier) for tier in tiers)
    return site.page(
        address,
        "controls.html.j2",
        title=site.words["titles"][name],
        description=site.words["descriptions"][name],
        view=tuple(group for group in groups if group.controls),
        shell="reference",
        search=True,
    )


def _group(site: Site, tier: str) -> ControlGroup:
    members = [c for c in site.knowledge.controls.values() if c.tier == tier]
    return ControlGroup(
        tier=tier,
        name=site.words["tiers"][tier],
        controls=tuple(
            ListedControl(
                name=control.name,
                address=control_address(control.id),
                in_short=control.in_short,
            )
            for control in sorted(members, key=lambda each: each.name.lower())
        ),
    )
