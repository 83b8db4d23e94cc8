"""Paths through small graphs, each checked by hand."""

import builder.graph
from builder.graph import Graph, Way, closing_ways, depths, in_order, reachable, walks


def graph_of(first: str, drawn: str) -> Graph:
    """Draw a graph: 'a x b' is a way from a to b with label x, label '-' is a skip."""
    ways: dict[str, list[Way]] = {}
    for line in drawn.split(","):
        start, label, to = line.split()
        way = Way(start=start, label=None if label == "-" else label, to=to)
        ways.setdefault(start, []).append(way)
    return Graph(first=first, ways={place: tuple(out) for place, out in ways.items()})


FORK = graph_of(
    "a", "a x b, a y c, a - c, b x end, b - end, c z end, c - other, lost x end"
)
CIRCLE = graph_of("a", "a x b, b x c, c x b, c y end")


def test_reachable_leaves_out_what_no_way_leads_to() -> None:
    """A place that nothing leads to is not reached."""
    assert reachable(FORK, "a") == {"a", "b", "c", "end", "other"}


def test_reachable_obeys_the_ways_it_may_use() -> None:
    """With the skips closed, the place behind the only skip is out of reach."""
    assert "other" not in reachable(FORK, "a", lambda way: way.label is not None)


def test_shortest_walk_is_unrolled_from_the_start() -> None:
    """The walk to a place starts at the first place and has the fewest ways."""
    came_by = builder.graph.shortest_walks(FORK, "a")
    walk = builder.graph.walk_to(came_by, "other")
    assert [(way.start, way.to) for way in walk] == [("a", "c"), ("c", "other")]
    assert builder.graph.walk_to(came_by, "a") == ()


def test_loops_are_given_as_the_walk_round_them() -> None:
    """A loop is told once, from the place it comes back to."""
    [loop] = closing_ways(CIRCLE)
    assert [(way.start, way.to) for way in loop] == [("b", "c"), ("c", "b")]
    assert closing_ways(FORK) == ()


def test_a_place_that_leads_to_itself_is_a_loop() -> None:
    """The smallest loop has one way."""
    [loop] = closing_ways(graph_of("a", "a x a, a y end"))
    assert [(way.start, way.to) for way in loop] == [("a", "a")]


def test_order_puts_each_place_before_those_it_leads_to() -> None:
    """No way of a graph without loops points backwards in the order."""
    order = in_order(FORK)
    assert sorted(order) == ["a", "b", "c", "end", "other"]
    for place in order:
        for way in FORK.leaving(place):
            assert order.index(place) < order.index(way.to)


def test_depth_is_the_longest_walk_and_not_the_first_found() -> None:
    """A short cut does not hide the long way round."""
    short_cut = graph_of("a", "a x c, a y b, b x c, c x end")
    assert depths(short_cut) == {"a": 0, "b": 1, "c": 2, "end": 3}


def test_depth_of_a_circle_ends() -> None:
    """Ways back are left out, so that depth is a number even in a loop."""
    assert depths(CIRCLE) == {"a": 0, "b": 1, "c": 2, "end": 3}


def test_straight_walks_take_no_skip() -> None:
    """Without skips only labelled ways are walked; with them every walk."""
    assert [[way.label for way in walk] for walk in walks(FORK, skips=False)] == [
        ["x", "x"],
        ["y", "z"],
    ]
    assert len(list(walks(FORK, skips=True))) == 6


def test_walks_stop_at_the_limit_and_in_circles() -> None:
    """Enumeration is bounded, and a circle is not gone round twice."""
    assert len(list(walks(FORK, skips=True, limit=2))) == 2
    assert [[way.to for way in walk] for walk in walks(CIRCLE, skips=True)] == [
        ["b", "c", "end"]
    ]


def test_a_chain_of_ten_thousand_places_is_no_trouble() -> None:
    """Length alone never exhausts the stack."""
    chain = {str(n): (Way(start=str(n), label="x", to=str(n + 1)),) for n in range(10_000)}
    graph = Graph(first="0", ways=chain)
    assert depths(graph)["10000"] == 10_000
    assert closing_ways(graph) == ()


def test_a_graph_with_only_its_first_place() -> None:
    """One place without ways is one walk of no ways."""
    assert list(walks(Graph(first="a", ways={}), skips=True)) == [()]
    assert in_order(Graph(first="a", ways={})) == ("a",)
