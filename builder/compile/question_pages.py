"""Question pages: one node of the tree each, with plain links to every next page."""

from collections.abc import Iterator

from builder.compile.addresses import (
    HOME,
    cause_address,
    node_address,
    plant_address,
    question_address,
)
from builder.compile.arrivals import Known
from builder.compile.letter_pages import own_words
from builder.compile.result_head import SHOWN_FROM
from builder.compile.result_parts import told_views
from builder.compile.site import PlantDesk, Site, SitePage
from builder.compile.views import Choice, Named, QuestionView
from builder.model import Answer, Question
from builder.reason.findings import format_fragment
from builder.reason.ranking import rank

MOST_FITS = 4


def pages(site: Site) -> Iterator[SitePage]:
    """Every question; home is the first one while there is only one plant."""
    desks = tuple(site.desks.values())
    for desk in desks:
        for node in desk.plant.tree.questions:
            yield _page(site, desk, node, question_address(desk.plant, node))
    if len(desks) == 1:
        yield _home(site, desks[0])
    else:
        plants = tuple(
            (desk.plant, plant_address(desk.plant), desk.plant.drawing) for desk in desks
        )
        yield site.page(
            HOME, "plants.html.j2", title=site.words["titles"]["plants"], view=plants
        )


def question_view(site: Site, desk: PlantDesk, node: str) -> QuestionView:
    """One question, knowing what everybody who came straight here has said."""
    plant, known = desk.plant, desk.arrivals.get(node, {})
    question = plant.tree.questions[node]
    sign = plant.signs[question.sign]
    return QuestionView(
        plant=plant.id,
        node=node,
        sign=sign.id,
        question=sign.question,
        where=sign.where,
        choices=tuple(_choice(desk, question, answer, known) for answer in sign.answers),
        none=_choice(desk, question, sign.none, known) if sign.none else None,
        cant_tell=Choice(
            id=sign.id,
            says=sign.cant_tell.removesuffix("."),
            shows="",
            drawing="",
            address=node_address(plant, question.cant_tell),
            fragment=format_fragment({**known, sign.id: None}),
        ),
        how_to_check=sign.how_to_check,
        fragment=format_fragment(known),
        told=told_views(desk, known, site.words),
        fits=_fits(desk, node, known) if known or node in desk.arrived else (),
        first=node == plant.tree.first,
    )


def _page(site: Site, desk: PlantDesk, node: str, address: str) -> SitePage:
    view = question_view(site, desk, node)
    return site.page(
        address,
        "question.html.j2",
        title=_title(site, desk, node, view),
        description=view.where,
        view=view,
        drawings=desk.plant.drawings,
    )


def _title(site: Site, desk: PlantDesk, node: str, view: QuestionView) -> str:
    # A sign may be asked at several places of the tree; a title may stand only once.
    same = desk.asked[view.sign]
    if len(same) == 1:
        return view.question
    told = f"{view.told[-1].answer}; " if view.told else ""
    return str(site.words["titles"]["again"]).format(
        question=view.question, told=told, number=same.index(node) + 1
    )


def _home(site: Site, desk: PlantDesk) -> SitePage:
    plant = desk.plant
    return site.page(
        HOME,
        "home.html.j2",
        title=plant.home_title,
        description=plant.home_line,
        view=(plant, question_view(site, desk, plant.tree.first), own_words(site)),
        drawings=plant.drawings,
    )


def _choice(desk: PlantDesk, question: Question, answer: Answer, known: Known) -> Choice:
    return Choice(
        id=answer.id,
        says=answer.says,
        shows=answer.shows,
        drawing=answer.drawing,
        address=node_address(desk.plant, question.ways[answer.id]),
        fragment=format_fragment({**known, question.sign: answer.id}),
    )


def _fits(desk: PlantDesk, node: str, known: Known) -> tuple[Named, ...]:
    came = desk.arrived.get(node)
    ranking = came.ranking if came else rank(desk.evidence, known)
    fair = [c for c in ranking.first(MOST_FITS) if ranking.share(c) >= SHOWN_FROM]
    return tuple(
        Named(name=desk.plant.causes[c].name, address=cause_address(c)) for c in fair
    )
