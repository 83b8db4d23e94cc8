"""Result pages: one an end of the tree, and one for any set of findings."""

from collections.abc import Iterator

from bedside.model.library import Library
from bedside.model.season import SeasonKnowledge
from bedside.pages.frame.addresses import result_address
from bedside.pages.frame.desk import PlantDesk, Site, SitePage
from bedside.pages.frame.views import ResultView
from bedside.pages.walk.result_view import end_view, result_view

ON_END = ("plant", "name", "end")
SAYS = {
    "titles.result_free": ("plant",),
    "titles.result_shared": (),
    "titles.result_open": ON_END,
    "titles.result_cause": ON_END,
    "titles.result_family": ON_END,
    "descriptions.result": ("plant",),
}


def addresses(library: Library, _season: SeasonKnowledge | None) -> Iterator[str]:
    """Every end of each tree, and one page for any findings."""
    for plant in library.knowledge.plants.values():
        yield from (result_address(plant, end) for end in plant.tree.ends)
        yield result_address(plant)


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
