"""The grower's tree against the arithmetic: an end names what its answers make likeliest.

Both are shown, so they should agree. Where they do not, one of them is wrong, and only the
grower can say which: this is advice to look, not an order to bend the end.
"""

from collections.abc import Iterator

from bedside.checks.material import Fault, Faults, Material
from bedside.model.records import End, Plant
from bedside.problems import WARNING
from bedside.read.outline import OTHERWISE
from bedside.reason import scale
from bedside.reason.arrival import arrived
from bedside.reason.ranking import Ranking, rank
from bedside.reason.weigh import weigh


def wrong_end(material: Material) -> Faults:
    """An end names the cause that is likeliest for those who come there."""
    for plant in material.plants:
        for end, ranking in _ends(plant):
            # Where nothing on the list fits, nothing on the list should come first.
            listed = [it for it in end.shows if plant.causes[it].kind != "unlisted"]
            # What has less is not named there, and says nothing against the end.
            names = ranking.top_share >= scale.SHOWN_AT_END
            if names and listed and ranking.top not in end.shows:
                best = max(listed, key=ranking.share)
                yield Fault(
                    place=material.library.place(plant.tree.file, *end.path),
                    message=f"'{ranking.top}' comes first here ({ranking.top_share:.2f}), "
                    f"before '{best}' ({ranking.share(best):.2f})",
                    hint=f"after {', '.join(end.path[1::2])}. If you would say so too, "
                    f"name it here; if not, mend what the records say of these answers",
                    level=WARNING,
                )


def _ends(plant: Plant) -> Iterator[tuple[End, Ranking]]:
    """Every end, and the causes weighed for those who come there."""
    evidence = weigh(plant)
    places = arrived(evidence, plant.tree)
    for end in plant.tree.ends.values():
        place = places[end.id]
        # Below `otherwise` nobody's answers are all known, so everybody's are weighed.
        open_way = OTHERWISE in end.path[1::2]
        yield end, place.ranking if open_way else rank(evidence, place.findings)
