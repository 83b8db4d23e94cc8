"""The head of a result: what is known and how sure, in the words of words.json.

`result.js` makes the same choices for findings that no built page has; keep the two alike.
"""

from collections.abc import Mapping
from typing import Any

from builder.compile.addresses import cause_address
from builder.compile.site import PlantDesk
from builder.compile.views import AlsoView, HeadView
from builder.model import Plant
from builder.reason.ranking import Headline, Ranking, headline
from builder.reason.sureness import sureness

SHOWN_FROM = 0.05  # a cause with a smaller share is not listed
MOST_ALSO = 4

Words = Mapping[str, Any]


def sure_words(words: Words, share: float) -> str:
    """A share as one scale's word with its number beside it: "Likely (7 in 10)"."""
    sure = sureness(share)
    form = words["in_ten"] if sure.tenths else words["under_one"]
    return str(form).format(word=words["sureness"][sure.word], tenths=sure.tenths)


def name_of(plant: Plant, head: Headline) -> str:
    """What a headline names, as it stands inside a sentence; empty while open."""
    if head.kind == "cause":
        return plant.causes[head.id].called
    return plant.families[head.id].called if head.kind == "family" else ""


def head_view(desk: PlantDesk, ranking: Ranking, words: Words) -> HeadView:
    """What the first screen says."""
    plant, head = desk.plant, headline(desk.evidence, ranking)
    cause = plant.causes[head.id] if head.kind == "cause" else None
    lead = plant.causes[ranking.top]
    return HeadView(
        cause=cause is not None,
        family=head.kind == "family",
        open=head.kind == "open",
        name=name_of(plant, head),
        latin=cause.latin if cause else "",
        in_short=cause.in_short if cause else "",
        sure="" if head.kind == "open" else sure_words(words, head.share),
        tenths=sureness(head.share).tenths,
        unclear=plant.families[head.id].unclear if head.kind == "family" else "",
        drawing="" if head.kind == "open" else lead.drawing,
        normal=cause is not None and cause.kind == "normal",
    )


def within_views(desk: PlantDesk, ranking: Ranking, words: Words) -> tuple[AlsoView, ...]:
    """The members of the named family, best first; nothing unless a family is named."""
    head = headline(desk.evidence, ranking)
    if head.kind != "family":
        return ()
    first, *others = (id_ for id_ in head.within if ranking.share(id_) >= SHOWN_FROM)
    return tuple(
        also_view(desk, ranking, id_, first if id_ != first else "", words)
        for id_ in (first, *others)
    )


def also_views(desk: PlantDesk, ranking: Ranking, words: Words) -> tuple[AlsoView, ...]:
    """What else it could be: what has a fair share, and always two to compare."""
    head = headline(desk.evidence, ranking)
    named = set(head.within) if head.kind == "family" else {ranking.top}
    if head.kind == "open":
        named = set()
    rest = [id_ for id_ in ranking.causes if id_ not in named]
    fair = [id_ for id_ in rest if ranking.share(id_) >= SHOWN_FROM][:MOST_ALSO]
    alike = [look.cause for look in desk.plant.causes[ranking.top].look_alikes]
    fill = [id_ for id_ in rest if id_ in alike and id_ not in fair]
    shown = (*fair, *fill[: max(0, 2 - len(fair))])
    lead = "" if head.kind == "open" else ranking.top
    return tuple(also_view(desk, ranking, id_, lead, words) for id_ in shown)


def also_view(
    desk: PlantDesk, ranking: Ranking, id_: str, lead: str, words: Words
) -> AlsoView:
    """One cause with its share and the feature that splits it from the leading one."""
    cause = desk.plant.causes[id_]
    share = ranking.share(id_)
    return AlsoView(
        name=cause.name,
        address=cause_address(id_),
        sure=sure_words(words, share),
        tenths=sureness(share).tenths,
        split=split_between(desk.plant, lead, id_) or cause.in_short,
    )


def split_between(plant: Plant, lead: str, other: str) -> str:
    """The feature that splits two causes, from whichever record says it."""
    for one, two in ((lead, other), (other, lead)):
        for look in plant.causes[one].look_alikes if one else ():
            if look.cause == two:
                return look.split
    return ""
