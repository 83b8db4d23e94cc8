"""Question pages: a page a question of the tree, and one for each sign it does not ask.

Without scripts the links are the tree's. With them, `walk.js` leads each answer to what is
worth asking next for everything that was said.
"""

from collections.abc import Iterator

from bedside.model.library import Library
from bedside.model.records import Answer, Question, Sign
from bedside.model.season import SeasonKnowledge
from bedside.pages.frame.addresses import (
    HOME,
    cause_address,
    node_address,
    plant_address,
    question_address,
    result_address,
)
from bedside.pages.frame.desk import PlantDesk, Site, SitePage
from bedside.pages.frame.views import Choice, Link, Named, QuestionView
from bedside.pages.letters.letter_pages import own_words
from bedside.pages.walk.result_parts import told_views
from bedside.reason import scale
from bedside.reason.evidence import Findings
from bedside.reason.findings import findings_of, format_fragment
from bedside.reason.next_look import in_tree

SAYS = {"titles.plants": (), "titles.again": ("question", "before")}


def addresses(library: Library, _season: SeasonKnowledge | None) -> Iterator[str]:
    """Home, every question of each tree, and every sign: one that the tree does not ask
    has a page for walks that the arithmetic finishes."""
    yield HOME
    for plant in library.knowledge.plants.values():
        yield plant_address(plant)
        yield from (question_address(plant, it) for it in plant.tree.questions)
        yield from (question_address(plant, it) for it in plant.signs)


def pages(site: Site) -> Iterator[SitePage]:
    """Every question; home is the first one while there is only one plant."""
    desks = tuple(site.desks.values())
    for desk in desks:
        plant = desk.plant
        for question in plant.tree.questions.values():
            yield _page(site, desk, question.id, question_view(site, desk, question))
        for sign in plant.signs.values():
            if sign.id not in plant.tree.questions:
                yield _page(site, desk, sign.id, loose_view(site, desk, sign))
    if len(desks) == 1:
        yield _home(site, desks[0])
    else:
        plants = tuple(
            (desk.plant, plant_address(desk.plant), desk.plant.drawing) for desk in desks
        )
        yield site.page(
            HOME, "plants.html.j2", title=site.said("titles.plants"), view=plants
        )


def question_view(site: Site, desk: PlantDesk, question: Question) -> QuestionView:
    """One question of the tree, knowing what everybody who came by its links has said."""
    plant, come = desk.plant, desk.arrived[question.id]
    sign, known = plant.signs[question.sign], come.findings

    def choice(answer: Answer | None) -> Choice:
        to = question.after(answer.id if answer else None)
        return _choice(sign, answer, node_address(plant, to), known)

    return QuestionView(
        plant=plant.id,
        sign=sign.id,
        question=sign.question,
        where=sign.where,
        number=len(come.asked) + 1,
        most=scale.MOST_LOOKS,
        choices=tuple(map(choice, sign.answers)),
        none=choice(sign.none) if sign.none else None,
        cant_tell=choice(None),
        how_to_check=sign.how_to_check,
        fragment=format_fragment(known),
        told=told_views(desk, known, site.words),
        fits=_fits(desk, question) if come.asked else (),
        back=_back(site, desk, question),
        ways_in=() if come.asked else _ways_in(desk),
    )


def loose_view(site: Site, desk: PlantDesk, sign: Sign) -> QuestionView:
    """A sign that the tree does not ask: each answer leads to the result for it."""

    def choice(answer: Answer | None) -> Choice:
        return _choice(sign, answer, result_address(desk.plant), {})

    return QuestionView(
        plant=desk.plant.id,
        sign=sign.id,
        question=sign.question,
        where=sign.where,
        number=1,
        most=scale.MOST_LOOKS,
        choices=tuple(map(choice, sign.answers)),
        none=choice(sign.none) if sign.none else None,
        cant_tell=choice(None),
        how_to_check=sign.how_to_check,
        fragment="",
        told=(),
        fits=(),
        back=Link(
            says=site.words["walk"]["start"],
            address=plant_address(desk.plant),
            fragment="",
        ),
        ways_in=(),
    )


def _page(site: Site, desk: PlantDesk, name: str, view: QuestionView) -> SitePage:
    return site.page(
        question_address(desk.plant, name),
        "question.html.j2",
        title=_title(site, name, view),
        description=view.where,
        view=view,
        drawings=desk.plant.drawings,
    )


def _title(site: Site, name: str, view: QuestionView) -> str:
    # A sign may be asked in several branches; a title may stand only once.
    if name == view.sign:
        return view.question
    before = name.partition("/")[2].replace("-", " ")
    return site.said("titles.again", question=view.question, before=before)


def _home(site: Site, desk: PlantDesk) -> SitePage:
    plant = desk.plant
    first = question_view(site, desk, plant.tree.questions[plant.tree.first])
    return site.page(
        HOME,
        "home.html.j2",
        title=plant.home_title,
        description=plant.home_line,
        view=(plant, first, own_words(site)),
        drawings=plant.drawings,
    )


def _choice(sign: Sign, answer: Answer | None, address: str, known: Findings) -> Choice:
    said = answer or Answer(
        id=sign.id, says=sign.cant_tell.removesuffix("."), shows="", drawing=""
    )
    given = {**known, sign.id: answer.id if answer else None}
    return Choice(
        id=said.id,
        says=said.says,
        shows=said.shows,
        drawing=said.drawing,
        address=address,
        fragment=format_fragment(given),
    )


def _back(site: Site, desk: PlantDesk, question: Question) -> Link | None:
    before = desk.above.get(question.id)
    if before is None:
        return None
    return Link(
        says=site.words["walk"]["back"],
        address=question_address(desk.plant, before),
        fragment=format_fragment(desk.arrived[before].findings),
    )


def _ways_in(desk: PlantDesk) -> tuple[Link, ...]:
    links = []
    for way in desk.plant.ways_in:
        findings = findings_of(desk.evidence, way.findings).findings
        question = in_tree(desk.evidence, desk.plant.tree, findings)
        links.append(
            Link(
                says=way.says,
                address=question_address(desk.plant, question)
                if question
                else result_address(desk.plant),
                fragment=format_fragment(findings),
            )
        )
    return tuple(links)


def _fits(desk: PlantDesk, question: Question) -> tuple[Named, ...]:
    ranking = desk.arrived[question.id].ranking
    fair = [
        cause
        for cause in ranking.first(scale.MOST_ALSO)
        if ranking.share(cause) >= scale.SHOWN_FROM
    ]
    return tuple(
        Named(name=desk.plant.causes[cause].name, address=cause_address(cause))
        for cause in fair
    )
