"""Short addresses for print: each only sends on to the page it stands for."""

from collections.abc import Iterator

from bedside.model.library import Library
from bedside.model.season import SeasonKnowledge
from bedside.pages.frame.addresses import cause_address, short_address
from bedside.pages.frame.desk import Site, SitePage
from bedside.pages.frame.views import Named

SAYS = {"titles.short": ("name",), "descriptions.short": ()}


def addresses(library: Library, _season: SeasonKnowledge | None) -> Iterator[str]:
    """The short address of each cause that has one."""
    for plant in library.knowledge.plants.values():
        yield from (short_address(it) for it in plant.causes.values() if it.short)


def pages(site: Site) -> Iterator[SitePage]:
    """One page a cause that has a short address."""
    for plant in site.knowledge.plants.values():
        for cause in plant.causes.values():
            if cause.short:
                yield site.page(
                    short_address(cause),
                    "short.html.j2",
                    title=site.said("titles.short", name=cause.name),
                    description=site.said("descriptions.short"),
                    view=Named(name=cause.name, address=cause_address(cause.id)),
                )
