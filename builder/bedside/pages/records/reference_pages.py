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
from bedside.pages.frame.desk import Site, SitePage
from bedside.pages.records.record_views import TopicView
from bedside.reason.scale import BANDS


def pages(site: Site) -> Iterator[SitePage]:
    """Every page that is neither a walk nor a record of a cause or control."""
    knowledge = site.knowledge
    for topic in knowledge.topics.values():
        sources = cited(knowledge.sources, topic)
        yield site.page(
            topic_address(topic),
            "topic.html.j2",
            title=topic.title,
            description=topic.in_short,
            view=TopicView(topic=topic, sources=sources, reviewed=topic.reviewed),
            shell="reference",
            search=True,
        )
    topics = tuple(sorted(knowledge.topics.values(), key=lambda each: each.title.lower()))
    yield _page(site, "topics", TOPICS, topics)
    yield _page(site, "local_help", LOCAL_HELP, knowledge)
    yield _page(site, "emergencies", EMERGENCIES, _emergencies(site))
    yield _page(site, "about", ABOUT, (knowledge, BANDS))
    yield _page(site, "sources", SOURCES, tuple(knowledge.sources.values()))
    yield site.page(LOST, "lost.html.j2", title=site.words["titles"]["lost"], view=None)


def assets(site: Site) -> Iterator[Asset]:
    """The style of reference pages: linked and not inlined, as the theme's own is."""
    sheet = site.templates.sheet("pens", "reference", "how_sure")
    yield Asset(address=f"{FOLDER}reference.css", content=sheet.encode())


def _page(site: Site, name: str, address: str, view: object) -> SitePage:
    return site.page(
        address,
        f"{name}.html.j2",
        title=site.words["titles"][name],
        description=site.words["descriptions"][name],
        view=view,
        shell="reference",
        search=True,
    )


def _emergencies(site: Site) -> object:
    emergencies = site.knowledge.emergencies
    return {
        "emergencies": emergencies,
        "sources": cited(site.knowledge.sources, emergencies),
        "reviewed": emergencies.checked,
    }
