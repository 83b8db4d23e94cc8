"""The report as text for a terminal and as data for JSON."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from textwrap import fill
from typing import Any

from bedside.measure.report import (
    AT_ONCE,
    EVERY,
    FINISHED,
    LINKS,
    MORE,
    NOTHING,
    RANDOM,
    TELLING,
    TREE,
    CaseScores,
    CaseWay,
    Quality,
    ReaderQuality,
    Reliability,
    Score,
    Way,
    WrongAnswers,
    goals,
)

COLUMNS = ("right", "wasted", "harmful", "first", "three", "sure, wrong")
HEADS = " " * 34 + "".join(f"{name:>12}" for name in COLUMNS)
WAY_HEADS = (
    f"{'':29}{'right':>11}{'/all':>5}{'first':>11}{'/all':>5}{'three':>7}"
    f"{'harmful':>8}{'sure,wrong':>11}{'untold':>7}{'looks':>6}{'most':>5}"
)
WIDTH = 110
SHOWN_PAIRS = 20
WORST = 10
WAYS_OF_ASKING = {
    NOTHING: "nothing asked",
    RANDOM: "as many in random order",
    LINKS: "scripts off: links alone",
    TREE: "the tree alone",
    TELLING: "most telling, no tree",
    FINISHED: "the tree, then arithmetic",
    MORE: "... with the result's looks",
    EVERY: "... and all that make sense",
    AT_ONCE: "all at once, sense or not",
}
FOLLOWED = {TREE: "tree alone", FINISHED: "then arithmetic", TELLING: "no tree"}
WAYS = {
    "findings": "all their findings",
    "questions": "through the questions",
    "random": "as many in random order",
    "nothing": "nothing told: the commonest",
}


def as_json(quality: Quality) -> dict[str, Any]:
    """The whole report as plain data."""
    reached = [{**asdict(goal), "met": goal.met} for goal in goals(quality)]
    return {**asdict(quality), "goals": reached}


def render_text(quality: Quality) -> str:
    """The report, at most 110 characters wide."""
    parts = (_head, _goals, _readers, _strength)
    return "\n".join([*(line for part in parts for line in part(quality)), ""])


def _head(quality: Quality) -> Iterator[str]:
    q = quality
    yield (
        f"{q.plant}: {q.causes} causes, {q.signs} signs, {q.questions} questions and"
        f" {q.ends} ends in the tree, {q.bits:.2f} bits to settle"
    )
    yield (
        f"Computed from the records on {q.per_cause} drawn gardeners a cause,"
        " not measured on real ones; scripts off is exact."
    )


def _goals(quality: Quality) -> Iterator[str]:
    yield "Goals"
    for goal in goals(quality):
        sign = ">=" if goal.at_least else "<="
        yield (
            f"  {'met   ' if goal.met else 'MISSED'} {goal.id:18}{goal.reader:8}"
            f" {goal.found:8.4f} {sign} {goal.bound:g}"
        )


def _readers(quality: Quality) -> Iterator[str]:
    for reader in quality.readers:
        finished = reader.ways[FINISHED]
        yield ""
        yield f"{reader.reader} gardener"
        yield WAY_HEADS
        for name, says in WAYS_OF_ASKING.items():
            yield _way(says, reader.ways[name])
        yield "  ± a standard error; /all: as a share of all at once"
        yield from _idle(reader)
        yield f"  senseless questions: {reader.senseless} of {reader.asked}"
        for name, says in FOLLOWED.items():
            yield from _curve(says, reader.ways[name])
        yield from _shown(finished.reliability)
        yield f"  shown above truth by at most {finished.overstated:+.3f}"
        yield f"    (scripts off {_over(reader, LINKS)}, more looks {_over(reader, MORE)})"
        yield HEADS
        yield _line("the tree, then arithmetic", finished.score)
        yield _line("... causes equally common", finished.equal)
        yield from _causes(reader)


def _way(name: str, way: Way) -> str:
    it = way.score
    return (
        f"  {name:27}"
        f"{_with_error(it.right, way.error_right):>11}{way.of_every_right:5.2f}"
        f"{_with_error(it.first, way.error_first):>11}{way.of_every_first:5.2f}"
        f"{it.three:7.3f}{it.harmful:8.4f}{it.confident_wrong:11.4f}{it.cant_tell:7.3f}"
        f"{way.looks:6.2f}{way.longest:5}"
    )


def _with_error(share: float, error: float) -> str:
    known = f"±{error:.3f}".replace("0.", ".") if round(error, 3) else ""
    return f"{share:.3f}{known:5}"


def _idle(reader: ReaderQuality) -> Iterator[str]:
    off, on = reader.ways[LINKS].score, reader.ways[FINISHED].score
    yield (
        f"  told to leave all as it is, and that is not right: {on.idle_wrong:.4f},"
        f" scripts off {off.idle_wrong:.4f}"
    )


def _over(reader: ReaderQuality, way: str) -> str:
    return f"{reader.ways[way].overstated:+.3f}"


def _line(name: str, score: Score) -> str:
    values = (
        score.right,
        score.wasted,
        score.harmful,
        score.first,
        score.three,
        score.confident_wrong,
    )
    return f"  {name:32}" + "".join(f"{value:12.3f}" for value in values)


def _curve(name: str, way: Way) -> Iterator[str]:
    for what in ("right", "first"):
        values = "".join(f"{getattr(score, what):6.2f}" for score in way.curve)
        yield f"  {what:5} after 0, 1, 2 ... looks, {name:15}{values}"


def _shown(rows: Sequence[Reliability]) -> Iterator[str]:
    for row in rows:
        yield (
            f"  shown {row.tenths} in 10 to {row.gardeners:.3f} of gardeners:"
            f" true for {row.true:.3f}"
        )


def _causes(reader: ReaderQuality) -> Iterator[str]:
    worst = sorted(reader.causes, key=lambda cause: (cause.score.right, cause.cause))[
        :WORST
    ]
    yield "  causes with the fewest right first steps"
    for cause in worst:
        yield _line(cause.cause, cause.score)


def _strength(quality: Quality) -> Iterator[str]:
    moved, strangers = quality.moved, quality.strangers
    yield ""
    yield (
        f"Three in ten words one step off ({moved.tables} tables): right {moved.right:.3f}"
        f" (least {moved.least_right:.3f}),"
    )
    yield (
        f"  first {moved.first:.3f} (least {moved.least_first:.3f}),"
        f" shown above truth by at most {moved.overstated:+.3f}"
    )
    yield (
        f"Troubles not on the list: can't tell {strangers.cant_tell:.3f}, 'not on our list'"
        f" first {strangers.unlisted_first:.3f}, very likely {strangers.confident:.3f}"
    )
    yield _wrong_answers("One wrong answer", quality.one_wrong)
    yield _wrong_answers("One more 'can't tell'", quality.one_cant_tell)
    pairs = [f"{one} / {other}" for one, other in quality.unseparated]
    yield _list(f"Pairs no sign separates: {len(pairs)}.", pairs[:SHOWN_PAIRS])
    yield _list("Signs that never matter:", quality.idle_signs)
    yield _list("Questions that never matter:", quality.idle_questions)
    yield "Draw first (bits a walk gains if half the misreadings went away):"
    for sign, bits in quality.easier:
        yield f"  {bits:6.4f} {sign}"
    if quality.cases is not None:
        yield from _cases(quality.cases)


def _list(name: str, items: Sequence[str]) -> str:
    text = f"{name} {', '.join(items) or 'none'}"
    return fill(text, WIDTH, subsequent_indent="  ", break_on_hyphens=False)


def _wrong_answers(name: str, found: WrongAnswers) -> str:
    return (
        f"{name} ({found.count} tried): still first {found.first:.3f},"
        f" in three {found.three:.3f}, possible {found.possible:.3f},"
        f" riskier {found.riskier:.3f}"
    )


def _cases(cases: CaseScores) -> Iterator[str]:
    yield ""
    yield f"{cases.count} published cases"
    yield HEADS
    for way in cases.ways:
        yield _line(WAYS[way.name], way.score)
    for way in cases.ways:
        yield from _case_way(way)
    yield f"  a cause that the source accepts as well counts: first {cases.also_first:.3f},"
    yield f"  first three {cases.also_three:.3f}"
    yield from _shown(cases.reliability)
    it = cases.special
    yield (
        f"  two troubles: {it.two_in_three} of {it.two} have both in the first three,"
        f" {it.two_told} are read as two"
    )
    yield f"  off the list: {it.off_list_quiet} of {it.off_list} without a 'very likely'"
    mixed = [f"{true} as {named} ({count})" for true, named, count in cases.confused]
    yield _list("Read as another cause:", mixed)
    yield _list("Not in the first three:", cases.missed)


def _case_way(way: CaseWay) -> Iterator[str]:
    first, three = (
        f"{low:.3f} to {high:.3f}" for low, high in (way.first_interval, way.three_interval)
    )
    yield (
        f"  {WAYS[way.name]}: {way.told:.1f} answers told, Brier {way.brier:.3f},"
        f" log score {way.log_score:.3f},"
    )
    yield f"    first {first}, first three {three} (95 %)"
