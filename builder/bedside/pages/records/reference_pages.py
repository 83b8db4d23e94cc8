"""Reference pages: topics, local help, emergencies, who we are, sources; the lost page."""

from collections.abc import Iterator

from bedside.pages.frame.addresses import (
    ABOUT,
    EMERGENCIES,
    LOCAL_HELP,
    LOST,
    SOURCES,
    TOPICS,
    topic_address,
)
from bedside.pages.frame.assets import FOLDER, Asset
from bedside.pages.frame.citing import cited
from bedside.pages.frame.desk import Site, SitePage, says_of_reference
from bedside.reason.scale import BANDS

SAYS = {
    "titles.lost": (),
    **says_of_reference("topics", "local_help", "emergencies", "about", "sources"),
}


def pages(site: Site) -> Iterator[SitePage]:
    """Every page that is neither a walk nor a record of a cause or control."""
    knowledge = site.knowledge
    for topic in knowledge.topics.values():
        yield site.page(
            topic_address(topic),
            "topic.html.j2",
            title=topic.title,
            description=topic.in_short,
            view={
                "topic": topic,
                "sources": cited(knowledge.sources, topic),
                "reviewed": topic.reviewed,
            },
            shell="reference",
            search=True,
        )
    topics = sorted(knowledge.topics.values(), key=lambda each: each.title.lower())
    emergencies = {
        "emergencies": knowledge.emergencies,
        "sources": cited(knowledge.sources, knowledge.emergencies),
        "reviewed": knowledge.emergencies.checked,
    }
    about = {"sources": knowledge.sources, "bands": BANDS}
    yield site.reference("topics", TOPICS, topics)
    yield site.reference("local_help", LOCAL_HELP, knowledge)
    yield site.reference("emergencies", EMERGENCIES, emergencies)
    yield site.reference("about", ABOUT, about)
    yield site.reference("sources", SOURCES, knowledge.sources.values())
    yield site.page(LOST, "lost.html.j2", title=site.said("titles.lost"), view=None)


def assets(site: Site) -> Iterator[Asset]:
    """The style of reference pages: linked and not inlined, as the theme's own is."""
    sheet = site.templates.sheet("pens", "reference", "how_sure")
    yield Asset(address=f"{FOLDER}reference.css", content=sheet.encode())
