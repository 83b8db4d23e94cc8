"""Control pages: one measure each, all of them by tier, and what we advise against."""

from collections.abc import Iterator

from bedside.model.records import TIERS, Control
from bedside.pages.frame.addresses import CONTROLS, NOT_RECOMMENDED, control_address
from bedside.pages.frame.citing import cited
from bedside.pages.frame.desk import Site, SitePage, View, says_of_reference

AGAINST = "advised-against"
SAYS = says_of_reference("controls", "not_recommended")


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
    by_name = sorted(controls, key=lambda each: each.name.lower())
    tiers = {tier: [it for it in by_name if it.tier == tier] for tier in TIERS}
    advised = {tier: it for tier, it in tiers.items() if it and tier != AGAINST}
    yield site.reference("controls", CONTROLS, advised)
    against = [control for control in controls if control.tier == AGAINST]
    yield site.reference("not_recommended", NOT_RECOMMENDED, against)


def control_view(site: Site, control: Control) -> View:
    """Everything about one control, and the causes whose plan it stands in."""
    used_for = (
        cause
        for plant in site.knowledge.plants.values()
        for cause in plant.causes.values()
        if any(step.control == control.id for step in cause.plan)
    )
    return {
        "control": control,
        "used_for": sorted(used_for, key=lambda each: each.name.lower()),
        "drawing": control.id if control.id in site.drawings else "",
        "sources": cited(site.knowledge.sources, control),
        "reviewed": control.reviewed,
    }
