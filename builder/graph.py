"""Paths through named places joined by labelled ways: what can be reached, and how far.

Knows nothing of plants or questions. A `Graph` goes in; sets of names, ways and walks come
out. Every function is a loop and not a recursion, so a very long or circular graph cannot
exhaust the stack.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

WALK_LIMIT = 50_000  # far above any tree a person can draw; a bound for spoiled ones


@dataclass(frozen=True, kw_only=True, slots=True)
class Way:
    """One step from a place to the next. A way without a label is a skip."""

    start: str
    label: str | None
    to: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Graph:
    """Places by name with the ways out of each; a place that is not a key has none."""

    first: str
    ways: Mapping[str, tuple[Way, ...]]

    def leaving(self, place: str) -> tuple[Way, ...]:
        """List the ways out of one place."""
        return self.ways.get(place, ())


Walk = tuple[Way, ...]


def open_way(_: Way) -> bool:
    """Let every way pass: the default of the searches below."""
    return True


def shortest_walks(
    graph: Graph, start: str, may_use: Callable[[Way], bool] = open_way
) -> Mapping[str, Way | None]:
    """Map every place that can be reached to the way into it on a shortest walk."""
    came_by: dict[str, Way | None] = {start: None}
    queue = [start]
    for place in queue:
        for way in graph.leaving(place):
            if way.to not in came_by and may_use(way):
                came_by[way.to] = way
                queue.append(way.to)
    return came_by


def reachable(
    graph: Graph, start: str, may_use: Callable[[Way], bool] = open_way
) -> frozenset[str]:
    """Name every place that can be reached, the start itself included."""
    return frozenset(shortest_walks(graph, start, may_use))


def walk_to(came_by: Mapping[str, Way | None], place: str) -> Walk:
    """Unroll the shortest walk to a place out of what `shortest_walks` gave."""
    walk: list[Way] = []
    way = came_by[place]
    while way is not None:
        walk.append(way)
        way = came_by[way.start]
    return tuple(reversed(walk))


def closing_ways(graph: Graph) -> tuple[Walk, ...]:
    """Find loops: each as the walk round it, ending where it began."""
    return tuple(loop for _, loop in _search(graph) if loop)


def in_order(graph: Graph) -> tuple[str, ...]:
    """List the places that can be reached so that each stands before those it leads to."""
    return tuple(reversed([place for place, loop in _search(graph) if not loop]))


def _search(graph: Graph) -> Iterator[tuple[str, Walk]]:
    """Search in depth: yield each place when left for good, each loop when it closes."""
    trail: list[Way] = []
    on_trail = {graph.first: 0}
    seen = {graph.first}
    waiting = [iter(graph.leaving(graph.first))]
    while waiting:
        way = next(waiting[-1], None)
        if way is None:
            waiting.pop()
            place = trail.pop().to if trail else graph.first
            del on_trail[place]
            yield place, ()
        elif way.to in on_trail:
            yield way.to, (*trail[on_trail[way.to] :], way)
        elif way.to not in seen:
            trail.append(way)
            seen.add(way.to)
            on_trail[way.to] = len(trail)
            waiting.append(iter(graph.leaving(way.to)))


def depths(graph: Graph) -> Mapping[str, int]:
    """Say the most ways that a walk from the first place to each place can have.

    Only for a graph without loops; ways back are left out otherwise.
    """
    order = in_order(graph)
    place_in_order = {place: number for number, place in enumerate(order)}
    depth = dict.fromkeys(order, 0)
    for place in order:
        for way in graph.leaving(place):
            if place_in_order[way.to] > place_in_order[place]:
                depth[way.to] = max(depth[way.to], depth[place] + 1)
    return depth


def walks(graph: Graph, *, skips: bool, limit: int = WALK_LIMIT) -> Iterator[Walk]:
    """Yield every walk from the first place to a place without ways, at most `limit`.

    Without `skips` these are the straight walks. No place is entered twice on one walk.
    """
    stack: list[Walk] = [()]
    while stack and limit > 0:
        walk = stack.pop()
        place = walk[-1].to if walk else graph.first
        been = {graph.first, *(way.to for way in walk)}
        onward = graph.leaving(place)
        if not onward:
            limit -= 1
            yield walk
        stack.extend(
            (*walk, way)
            for way in reversed(onward)
            if way.to not in been and (skips or way.label is not None)
        )
