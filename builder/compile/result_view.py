"""A result: everything that one set of findings makes of a plant, as one view."""

from urllib.parse import quote

from builder.compile.addresses import cause_address, result_address
from builder.compile.result_head import (
    Words,
    also_views,
    head_view,
    name_of,
    sure_words,
    within_views,
)
from builder.compile.result_looks import check_view, look_view
from builder.compile.result_parts import (
    reasons,
    rung_views,
    step_view,
    told_views,
)
from builder.compile.site import PlantDesk, Site
from builder.compile.views import Named, ResultView
from builder.model import SPRAY_TIERS
from builder.reason.arrival import Arrived
from builder.reason.findings import Context, Findings, format_fragment
from builder.reason.ranking import headline, rank
from builder.reason.two_troubles import two_troubles

TWO_FROM = 0.5  # two troubles are named from here: more likely than one


def result_view(
    site: Site, desk: PlantDesk, findings: Findings, came: Arrived | None = None
) -> ResultView:
    """Compose the result for findings, which may be none at all.

    `came` stands for walks that meet at an end: the findings are what all of them share.
    """
    words, plant = site.words, desk.plant
    ranking = came.ranking if came else rank(desk.evidence, findings)
    head = head_view(desk, ranking, words)
    lead = plant.causes[ranking.top]
    good, bad = ((), ()) if head.open else reasons(plant, lead, findings, words)
    rungs = (
        rung_views(lead, site.knowledge.controls, findings, ranking.top_share, words)
        if head.cause
        else ()
    )
    return ResultView(
        plant=plant.id,
        fragment=format_fragment(findings),
        head=head,
        within=within_views(desk, ranking, words),
        now=step_view(desk, ranking),
        look=None if came else look_view(desk, findings, ranking, words),
        check=check_view(desk, findings, ranking, words, came),
        also=also_views(desk, ranking, words),
        reasons_for=good,
        reasons_against=bad,
        why=bool(good or bad),
        rungs=rungs,
        ticks=any(step.ticks for rung in rungs for step in rung.steps),
        whole=Named(name=lead.called, address=cause_address(lead.id))
        if head.cause
        else None,
        year=site.year_of(lead.id) if head.cause else "",
        caution=any(rung.tier in SPRAY_TIERS for rung in rungs),
        equal="" if came else equal_words(desk, findings, words),
        told=told_views(desk, findings, words),
        two=two_named(desk, findings),
        notes=(words["walks_meet"],) if came else (),
        mail=mail_link(site, desk, findings),
    )


def two_named(desk: PlantDesk, findings: Findings) -> tuple[Named, ...]:
    """The likeliest pair of causes, if two at once fit the findings better than one."""
    two = two_troubles(desk.evidence, findings)
    causes = two.pairs[0].causes if two.share > TWO_FROM and two.pairs else ()
    named = (desk.plant.causes[id_] for id_ in causes)
    return tuple(Named(name=each.called, address=cause_address(each.id)) for each in named)


def equal_words(desk: PlantDesk, findings: Findings, words: Words) -> str:
    """What would lead if every cause were equally common."""
    ranking = rank(desk.evidence, findings, Context(equal=True))
    head = headline(desk.evidence, ranking)
    if head.kind == "open":
        return ""
    return f"{name_of(desk.plant, head)}: {sure_words(words, head.share)}"


def mail_link(site: Site, desk: PlantDesk, findings: Findings) -> str:
    """A mail to the nursery with this result's address (RFC 6068: %0D%0A, no plus)."""
    nursery, mail = site.knowledge.nursery, site.words["mail"]
    fragment = format_fragment(findings)
    mark = f"#{fragment}" if fragment else ""
    address = f"{nursery.site.rstrip('/')}/{result_address(desk.plant)}{mark}"
    subject = quote(mail["subject"].format(plant=desk.plant.name.lower()), safe="")
    body = quote(mail["body"].format(address=address).replace("\n", "\r\n"), safe="")
    return f"mailto:{nursery.email}?subject={subject}&body={body}"
