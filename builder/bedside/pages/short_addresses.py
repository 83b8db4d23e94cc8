"""Short addresses for print: each only sends on to the page it stands for."""

from collections.abc import Iterator

from bedside.pages.frame.addresses import cause_address, short_address
from bedside.pages.frame.desk import Site, SitePage
from bedside.pages.frame.views import Named


def pages(site: Site) -> Iterator[SitePage]:
    """One page a cause that has a short address."""
    for plant in site.knowledge.plants.values():
        for cause in plant.causes.values():
            if cause.short:
                yield site.page(
                    short_address(cause),
                    "short.html.j2",
                    title=str(site.words["titles"]["short"]).format(name=cause.name),
                    description=site.words["descriptions"]["short"],
                    view=Named(name=cause.name, address=cause_address(cause.id)),
                )
