"""A result: everything that one set of findings makes of a plant, as one view and as pages.

Each end of a tree has a page, which cannot see what its visitors answered. One more page a
plant shows any findings.
"""

from collections.abc import Iterator
from urllib.parse import quote

from bedside.model.records import SPRAY_TIERS
from bedside.pages.frame.addresses import cause_address, result_address
from bedside.pages.frame.desk import PlantDesk, Site, SitePage, Words
from bedside.pages.frame.views import Named, ResultView
from bedside.pages.walk.result_parts import (
    also_views,
    check_view,
    head_view,
    look_view,
    name_of,
    reasons,
    rung_views,
    step_view,
    sure_words,
    told_views,
    within_views,
)
from bedside.reason import scale
from bedside.reason.evidence import Context, Findings
from bedside.reason.findings import format_fragment
from bedside.reason.outcome import Outcome, outcome, outcome_on_arrival
from bedside.reason.ranking import headline, rank, two_troubles


def result_view(site: Site, desk: PlantDesk, findings: Findings) -> ResultView:
    """Compose the result for findings, which may be none at all."""
    found = outcome(desk.evidence, findings)
    return _view(site, desk, found, findings, on_end=False)


def end_view(site: Site, desk: PlantDesk, end: str) -> ResultView:
    """Compose the page of an end, which cannot see what its visitors answered."""
    come = desk.arrived[end]
    found = outcome_on_arrival(desk.evidence, come)
    return _view(site, desk, found, come.findings, on_end=True)


def _view(
    site: Site, desk: PlantDesk, found: Outcome, told: Findings, *, on_end: bool
) -> ResultView:
    words, plant, named = site.words, desk.plant, found.head.kind == "cause"
    lead = plant.causes[found.ranking.top]
    good, bad = reasons(plant, found, words)
    rungs = rung_views(lead, desk.controls, found, words) if named else ()
    head, also = head_view(desk, found, words), also_views(desk, found, words)
    return ResultView(
        plant=plant.id,
        fragment=format_fragment(told),
        head=head,
        within=within_views(desk, found, words),
        now=step_view(desk, found),
        look=look_view(desk, found, words),
        check=check_view(desk, found, words, on_end=on_end),
        also=also,
        reasons_for=good,
        reasons_against=bad,
        why=bool(good or bad),
        rungs=rungs,
        ticks=any(step.ticks for rung in rungs for step in rung.steps),
        whole=Named(name=lead.called, address=cause_address(lead.id)) if named else None,
        year=site.year_of(lead.id) if named else "",
        caution=any(rung.tier in SPRAY_TIERS for rung in rungs),
        alone=head.named and not (also or on_end) and head.tenths < scale.MOST_TENTHS,
        equal="" if on_end or found.head.kind == "open" else equal_words(desk, told, words),
        told=told_views(desk, told, words),
        two=() if on_end else two_named(desk, told),
        notes=(words["on_end"],) if on_end else (),
        letter=False,
        led="",
        link=whole_link(site, desk, told),
        mail=mail_link(site, desk, told),
    )


def two_named(desk: PlantDesk, findings: Findings) -> tuple[Named, ...]:
    """The likeliest pair of causes, if two at once fit the findings better than one."""
    two = two_troubles(desk.evidence, findings)
    likely = two.share > scale.TWO_FROM and two.pairs
    causes = two.pairs[0].causes if likely else ()
    named = (desk.plant.causes[id_] for id_ in causes)
    return tuple(Named(name=each.called, address=cause_address(each.id)) for each in named)


def equal_words(desk: PlantDesk, findings: Findings, words: Words) -> str:
    """What would lead if every cause were equally common."""
    ranking = rank(desk.evidence, findings, Context(equal=True))
    head = headline(desk.evidence, ranking)
    if head.kind == "open":
        return ""
    return f"{name_of(desk.plant, head)}: {sure_words(words, head.share)}"


def whole_link(site: Site, desk: PlantDesk, findings: Findings) -> str:
    """The whole address that holds these findings: for paper, for mail, for copying."""
    fragment = format_fragment(findings)
    mark = f"#{fragment}" if fragment else ""
    home = site.knowledge.nursery.site.rstrip("/")
    return f"{home}/{result_address(desk.plant)}{mark}"


def mail_link(site: Site, desk: PlantDesk, findings: Findings) -> str:
    """A mail to the nursery with this result's address (RFC 6068: %0D%0A, no plus)."""
    mail, address = site.words["mail"], whole_link(site, desk, findings)
    subject = quote(mail["subject"].format(plant=desk.plant.name.lower()), safe="")
    body = quote(mail["body"].format(address=address).replace("\n", "\r\n"), safe="")
    return f"mailto:{site.knowledge.nursery.email}?subject={subject}&body={body}"


ON_END = ("plant", "name", "end")
SAYS = {
    "titles.result_free": ("plant",),
    "titles.result_shared": (),
    "titles.result_open": ON_END,
    "titles.result_cause": ON_END,
    "titles.result_family": ON_END,
    "descriptions.result": ("plant",),
}


def pages(site: Site) -> Iterator[SitePage]:
    """Every end of each tree, then the page that reads its findings from the link."""
    for desk in site.desks.values():
        for end in desk.plant.tree.ends:
            yield _end_page(site, desk, end)
        yield _free_page(site, desk)


def _end_page(site: Site, desk: PlantDesk, end: str) -> SitePage:
    view = end_view(site, desk, end)
    return site.page(
        result_address(desk.plant, end),
        "result.html.j2",
        title=_title(site, desk, view, end),
        description=_description(site, desk),
        view=view,
        drawings=desk.plant.drawings,
    )


def _free_page(site: Site, desk: PlantDesk) -> SitePage:
    return site.page(
        result_address(desk.plant),
        "result_free.html.j2",
        title=site.said("titles.result_free", plant=desk.plant.name.lower()),
        description=_description(site, desk),
        view=result_view(site, desk, {}),
        drawings=desk.plant.drawings,
    )


def _description(site: Site, desk: PlantDesk) -> str:
    return site.said("descriptions.result", plant=desk.plant.name.lower())


def _title(site: Site, desk: PlantDesk, view: ResultView, end: str) -> str:
    # Several ends may name one cause, but a title may stand only once: add the end's id.
    kind = "open" if view.head.open else "cause" if view.head.cause else "family"
    return site.said(
        f"titles.result_{kind}",
        plant=desk.plant.name,
        name=view.head.name,
        end=end.replace("-", " ").replace("/", ", "),
    )
