"""Question pages: a page a question of the tree, and one for each sign it does not ask.

Without scripts the links are the tree's. With them, `walk.js` leads each answer to what is
worth asking next for everything that was said.
"""

from collections.abc import Iterator, Mapping

from bedside.model.records import Cause, Question, Sign
from bedside.pages.frame.addresses import (
    DESCRIBE,
    HOME,
    has_letters,
    node_address,
    plant_address,
    question_address,
    result_address,
)
from bedside.pages.frame.desk import PlantDesk, Site, SitePage, View
from bedside.pages.frame.views import Link
from bedside.pages.walk.result_parts import told_views
from bedside.reason import scale
from bedside.reason.evidence import Findings
from bedside.reason.findings import findings_of, format_fragment
from bedside.reason.next_look import in_tree

SAYS = {"titles.plants": (), "titles.again": ("question", "before")}


def pages(site: Site) -> Iterator[SitePage]:
    """Every question; home is the first one while there is only one plant."""
    desks = tuple(site.desks.values())
    for desk in desks:
        plant = desk.plant
        for question in plant.tree.questions.values():
            yield _page(site, desk, question.id, question_view(site, desk, question))
        for sign in plant.signs.values():
            if sign.id not in plant.tree.questions:
                yield _page(site, desk, sign.id, loose_view(desk, sign))
    if len(desks) == 1:
        yield _home(site, desks[0])
    else:
        plants = tuple(
            (desk.plant, plant_address(desk.plant), desk.plant.drawing) for desk in desks
        )
        yield site.page(
            HOME, "plants.html.j2", title=site.said("titles.plants"), view=plants
        )


def question_view(site: Site, desk: PlantDesk, question: Question) -> View:
    """One question of the tree, knowing what everybody who came by its links has said."""
    plant, come = desk.plant, desk.arrived[question.id]
    sign, known = plant.signs[question.sign], come.findings
    ways = {
        answer: node_address(plant, question.after(answer))
        for answer in (*(it.id for it in sign.all_answers), None)
    }
    return {
        **_asked(desk, sign, known, ways),
        "number": len(come.asked) + 1,
        "told": told_views(desk, known, site.words),
        "fits": _fits(desk, question) if come.asked else (),
        "back": _back(desk, question),
        **(_NO_WAYS if come.asked else _beside(site, desk)),
    }


def loose_view(desk: PlantDesk, sign: Sign) -> View:
    """A sign that the tree does not ask: each answer leads to the result for it."""
    result = result_address(desk.plant)
    ways = dict.fromkeys((*(it.id for it in sign.all_answers), None), result)
    return {
        **_asked(desk, sign, {}, ways),
        "number": 1,
        "told": (),
        "fits": (),
        "back": Link(address=plant_address(desk.plant), fragment=""),
        **_NO_WAYS,
    }


def _asked(
    desk: PlantDesk, sign: Sign, known: Findings, ways: Mapping[str | None, str]
) -> View:
    """A sign as a page asks it. A way is where an answer leads, None is "I can't tell"."""
    return {
        "plant": desk.plant,
        "sign": sign,
        "most": scale.MOST_LOOKS,
        "links": {
            answer or sign.id: Link(
                address=address, fragment=format_fragment({**known, sign.id: answer})
            )
            for answer, address in ways.items()
        },
    }


def _page(site: Site, desk: PlantDesk, name: str, view: View) -> SitePage:
    return site.page(
        question_address(desk.plant, name),
        "question.html.j2",
        title=_title(site, name, view["sign"]),
        description=view["sign"].where,
        view=view,
        drawings=desk.plant.drawings,
    )


def _title(site: Site, name: str, sign: Sign) -> str:
    # A sign may be asked in several branches; a title may stand only once.
    if name == sign.id:
        return sign.question
    before = name.partition("/")[2].replace("-", " ")
    return site.said("titles.again", question=sign.question, before=before)


def _home(site: Site, desk: PlantDesk) -> SitePage:
    plant = desk.plant
    first = question_view(site, desk, plant.tree.questions[plant.tree.first])
    return site.page(
        HOME,
        "home.html.j2",
        title=plant.home_title,
        description=plant.home_line,
        view=first,
        drawings=plant.drawings,
    )


def _back(desk: PlantDesk, question: Question) -> Link | None:
    before = desk.above.get(question.id)
    if before is None:
        return None
    fragment = format_fragment(desk.arrived[before].findings)
    return Link(address=question_address(desk.plant, before), fragment=fragment)


# What a later question has beside its answers.
_NO_WAYS: View = {"ways_in": (), "own_words": "", "read_more": ()}


def _beside(site: Site, desk: PlantDesk) -> View:
    """What stands beside the first question of a plant: ways to skip, to tell, to read."""
    words = DESCRIBE if len(site.desks) == 1 else f"{DESCRIBE}{desk.plant.id}/"
    return {
        "ways_in": _ways_in(desk),
        "own_words": words if has_letters(site.library) else "",
        "read_more": site.topics_at(desk.plant.read_more),
    }


def _ways_in(desk: PlantDesk) -> list[tuple[str, Link]]:
    """Short ways into the tree: what each says, and the question that it leads to."""
    plant, links = desk.plant, []
    for way in plant.ways_in:
        findings = findings_of(desk.evidence, way.findings).findings
        asked = in_tree(desk.evidence, plant.tree, findings)
        address = question_address(plant, asked) if asked else result_address(plant)
        links.append((way.says, Link(address=address, fragment=format_fragment(findings))))
    return links


def _fits(desk: PlantDesk, question: Question) -> list[Cause]:
    ranking = desk.arrived[question.id].ranking
    return [
        desk.plant.causes[cause]
        for cause in ranking.first(scale.MOST_ALSO)
        if ranking.share(cause) >= scale.SHOWN_FROM
    ]
