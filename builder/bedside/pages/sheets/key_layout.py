"""Where rows of the key and their pictures stand on paper: pure arithmetic over heights.

Every answer of the first question is a branch. A branch stays in one column where it can;
else it goes on at the top of the column beside it. Type is as large as two sides allow. A
picture stands in the white beside short rows: it takes no room and covers no word.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import chain, count

COLUMNS = 2  # on a side
SIDES = 2  # of one sheet
SMALLEST, LARGEST, STEP = 8.0, 11.0, 0.25  # points
CUT_ABOVE = 2  # only above rows less deep than this a branch is cut, if it can be helped
RAGGED = 50.0  # millimetres between the ends of two columns, as bad as a wrong order
FEWEST = 4  # rows on either side of a cut
WIDTH, HEIGHT = 12.0, 9.0  # of a picture, millimetres
CLEAR = 3.0  # between words and a picture
APART = 0.6  # between two pictures


@dataclass(frozen=True, kw_only=True, slots=True)
class Piece:
    """Rows of one branch that stand in one column, with its head if `start` is 0."""

    branch: int
    start: int
    stop: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Tall:
    """What one branch needs, in millimetres, and where it may be cut."""

    head: float
    rows: tuple[float, ...]
    more: tuple[float, ...]  # what stands over a row if a column begins with it
    tail: float  # what stands below a row if a column ends with it
    depths: tuple[int, ...]
    firsts: tuple[bool, ...]  # a question's first way: never cut from its question
    is_else: bool  # the way of every other answer: no answer may stand after it

    @property
    def whole(self) -> float:
        """The height of all of it."""
        return self.head + sum(self.rows)

    def height(self, start: int, stop: int) -> float:
        """The height of some of its rows, with what stands over and below them."""
        over = self.more[start] if start else self.head
        below = self.tail if stop < len(self.rows) else 0.0
        return over + sum(self.rows[start:stop]) + below

    def cuts(self, start: int = 0) -> Iterator[int]:
        """The rows that a column may begin with, after `start`."""
        for at in range(start + FEWEST, len(self.rows) - FEWEST + 1):
            if not self.firsts[at]:
                yield at


@dataclass(frozen=True, kw_only=True, slots=True)
class Measured:
    """All branches at one size of type, and how tall a column is on each side."""

    size: float
    branches: tuple[Tall, ...]
    rooms: tuple[float, ...]  # of the first side, and of every other

    def room(self, column: int) -> float:
        """How tall a column is, counted from the first of the first side."""
        return self.rooms[min(column // COLUMNS, len(self.rooms) - 1)]


@dataclass(frozen=True, kw_only=True, slots=True)
class Plan:
    """The columns in the order of reading, at a size of type."""

    size: float
    columns: tuple[tuple[Piece, ...], ...]

    @property
    def sides(self) -> int:
        """How many sides of paper it takes."""
        return -(-len(self.columns) // COLUMNS)


def planned(measure: Callable[[float], Measured]) -> Plan:
    """The largest type that fits on two sides, with few branches cut; else more sides."""
    for most_cuts in (1, SIDES):
        found = _largest(measure, most_cuts)
        if found:
            return found
    return poured(measure(SMALLEST))


def _largest(measure: Callable[[float], Measured], most_cuts: int) -> Plan | None:
    smallest = measure(SMALLEST)
    found = on_one_sheet(smallest, most_cuts)
    low, high = 0, round((LARGEST - SMALLEST) / STEP) + 1  # fits, does not fit
    probe = _guessed(smallest)
    while found and high - low > 1:
        probe = min(max(probe, low + 1), high - 1)
        larger = on_one_sheet(measure(SMALLEST + STEP * probe), most_cuts)
        found = larger or found
        low, high = (probe, high) if larger else (low, probe)
        # The guess is near: what is left lies beside it.
        probe += 1 if larger else -1
    return found


# To measure a size takes as long as to print ten sheets, so few are tried.
def _guessed(smallest: Measured) -> int:
    """How many steps of size there is room for, if rows grow as an area does."""
    needed = sum(branch.whole for branch in smallest.branches)
    room = sum(smallest.room(column) for column in range(SIDES * COLUMNS))
    return int((SMALLEST * (room / needed) ** 0.5 - SMALLEST) / STEP) if needed else 0


@dataclass(frozen=True, kw_only=True, slots=True)
class _Placing:
    """Branches by column so far, and for each side the one that runs over, if any."""

    places: tuple[int, ...] = ()  # of each branch; a cut one has its first column
    loads: tuple[float, ...] = (0.0,) * (SIDES * COLUMNS)
    over: Mapping[int, tuple[int, int]]  # first column -> branch, row it is cut at

    def ends_with_last(self) -> bool:
        """Whether no branch stands in a column after the last one's."""
        last = len(self.places) - 1
        over = [column + 1 for column, (at, _) in self.over.items() if at != last]
        return all(self.places[last] >= column for column in (*self.places, *over))

    def disorder(self) -> int:
        """How many branches stand after one that they should come before."""
        # What is cut comes last in its first column.
        cut = {at for at, _ in self.over.values()}
        places = [place + (at in cut) / 2 for at, place in enumerate(self.places)]
        return sum(
            before > after for at, before in enumerate(places) for after in places[at + 1 :]
        )

    def raggedness(self) -> float:
        """How far the columns of each side end apart, in millimetres, all together."""
        sides = [self.loads[at : at + COLUMNS] for at in range(0, len(self.loads), COLUMNS)]
        return sum(max(side) - min(side) for side in sides)


def on_one_sheet(measured: Measured, most_cuts: int) -> Plan | None:
    """The best way to have every branch on two sides, if there is one."""
    number = count()  # of two that are as good, the one found first
    waiting = [((0, 0.0), next(number), _Placing(over={}))]
    while waiting:
        # A placing never gets better by going on, so the first that is whole is the best.
        _, _, placing = heappop(waiting)
        if len(placing.places) == len(measured.branches):
            return Plan(size=measured.size, columns=_columns(measured, placing))
        ways = [_with_whole(measured, placing)]
        if len(placing.over) < most_cuts:
            ways.append(_with_cut(measured, placing))
        for it in chain(*ways):
            if not _is_too_late(measured, it):
                heappush(waiting, (_cost(measured, it), next(number), it))
    return None


def _cost(measured: Measured, placing: _Placing) -> tuple[int, float]:
    """Few sides, then all in one: in order, whole, cut where little is torn, even."""
    depths = sum(measured.branches[at].depths[row] for at, row in placing.over.values())
    odd = placing.disorder() + len(placing.over) + depths / 2
    if len(placing.places) == len(measured.branches):
        odd += placing.raggedness() / RAGGED
    return max(placing.places) // COLUMNS, odd


def _is_too_late(measured: Measured, placing: _Placing) -> bool:
    """Whether the way of every other answer would stand before an answer."""
    is_whole = len(placing.places) == len(measured.branches)
    return is_whole and measured.branches[-1].is_else and not placing.ends_with_last()


def _with_whole(measured: Measured, placing: _Placing) -> Iterator[_Placing]:
    height = measured.branches[len(placing.places)].whole
    for column in range(SIDES * COLUMNS):
        yield from _placed(measured, placing, {column: height}, placing.over)


def _with_cut(measured: Measured, placing: _Placing) -> Iterator[_Placing]:
    at = len(placing.places)
    branch = measured.branches[at]
    for column in range(0, SIDES * COLUMNS, COLUMNS):
        if column in placing.over:
            continue
        for cut in branch.cuts():
            if branch.depths[cut] < CUT_ABOVE:
                needs = {
                    column: branch.height(0, cut),
                    column + 1: branch.height(cut, len(branch.rows)),
                }
                over = {**placing.over, column: (at, cut)}
                yield from _placed(measured, placing, needs, over)


def _placed(
    measured: Measured,
    placing: _Placing,
    needs: Mapping[int, float],
    over: Mapping[int, tuple[int, int]],
) -> Iterator[_Placing]:
    loads = tuple(load + needs.get(at, 0.0) for at, load in enumerate(placing.loads))
    if all(load <= measured.room(at) for at, load in enumerate(loads)):
        yield _Placing(places=(*placing.places, min(needs)), loads=loads, over=over)


def _columns(measured: Measured, placing: _Placing) -> tuple[tuple[Piece, ...], ...]:
    columns: list[list[Piece]] = [[] for _ in range(SIDES * COLUMNS)]
    cut = dict(placing.over.values())
    for at, column in enumerate(placing.places):
        if at not in cut:
            columns[column].append(_piece(measured, at))
    # What is cut ends its first column and begins the next.
    for column, (at, row) in placing.over.items():
        whole = _piece(measured, at)
        columns[column].append(Piece(branch=at, start=0, stop=row))
        columns[column + 1].insert(0, Piece(branch=at, start=row, stop=whole.stop))
    while not columns[-1]:
        columns.pop()
    return tuple(map(tuple, columns))


def _piece(measured: Measured, at: int) -> Piece:
    return Piece(branch=at, start=0, stop=len(measured.branches[at].rows))


def poured(measured: Measured) -> Plan:
    """Branches one after the other, over as many sides as it takes."""
    columns: list[list[Piece]] = [[]]
    left = measured.room(0)
    for at, branch in enumerate(measured.branches):
        start = 0
        while start == 0 or start < len(branch.rows):
            stop = _stop(branch, start, left, fresh=not columns[-1])
            if stop > start or not branch.rows:
                columns[-1].append(Piece(branch=at, start=start, stop=stop))
                left -= branch.height(start, stop)
            if stop == len(branch.rows):
                break
            start = stop
            columns.append([])
            left = measured.room(len(columns) - 1)
    return Plan(size=measured.size, columns=tuple(map(tuple, filter(None, columns))))


def _stop(branch: Tall, start: int, left: float, *, fresh: bool) -> int:
    """The row before which a column ends: late, and where little is torn apart."""
    every = len(branch.rows)
    if branch.height(start, every) <= left:
        return every
    cuts = [it for it in branch.cuts(start) if branch.height(start, it) <= left]
    if cuts:
        latest = max(cuts)
        late = [it for it in cuts if it * 4 >= latest * 3]
        return min(late, key=lambda it: (branch.depths[it], -it))
    # In a fresh column a row must stand at least, or the branch would never end.
    return start + FEWEST if fresh else start


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """Words in a column, from the top of it: where they stand, how far they reach.

    `middle` is where the picture of these words would have its own; none for no picture.
    """

    top: float
    bottom: float
    reach: float
    middle: float | None = None
    is_big: bool = False


def illustrated(lines: Sequence[Line], width: float, height: float) -> frozenset[int]:
    """Which lines have room for their picture; those with much below them choose first."""
    wanting = [at for at, line in enumerate(lines) if line.middle is not None]
    taken: dict[int, tuple[float, float]] = {}
    for at in sorted(wanting, key=lambda it: (not lines[it].is_big, it)):
        middle = lines[at].middle or 0.0
        top, bottom = middle - HEIGHT / 2, middle + HEIGHT / 2
        covered = any(
            line.reach + CLEAR > width - WIDTH for line in _across(lines, top, bottom)
        )
        met = any(
            top < below + APART and above < bottom + APART
            for above, below in taken.values()
        )
        if top >= 0 and bottom <= height and not covered and not met:
            taken[at] = top, bottom
    return frozenset(taken)


def _across(lines: Iterable[Line], top: float, bottom: float) -> Iterator[Line]:
    return (line for line in lines if line.top < bottom and line.bottom > top)
