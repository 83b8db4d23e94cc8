"""What one page shows, as plain values: the only thing its template reads.

The result's views are also what the browser builds for findings of its own, field by field,
and a test holds the two equal; so they hold text, numbers, lists and nothing else.
"""

from dataclasses import dataclass, is_dataclass
from typing import Any, get_args, get_origin, get_type_hints

LINKS = ("address", "fragment", "change", "mail")


@dataclass(frozen=True, kw_only=True, slots=True)
class Named:
    """Something with a page of its own."""

    name: str
    address: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Told:
    """One answer already given."""

    question: str
    answer: str
    sign: str
    address: str  # where it is asked
    change: str  # the rest of the findings, as a fragment


@dataclass(frozen=True, kw_only=True, slots=True)
class Link:
    """A way to another page, with the findings that it takes along."""

    address: str
    fragment: str


@dataclass(frozen=True, kw_only=True, slots=True)
class HeadView:
    """What is known: exactly one of `cause`, `family`, `open` is true."""

    cause: bool
    family: bool
    open: bool
    named: bool  # a cause or a family
    name: str
    in_short: str
    sure: str
    tenths: int
    unclear: str
    drawing: str


@dataclass(frozen=True, kw_only=True, slots=True)
class StepView:
    do: str
    how: tuple[str, ...]
    control: str  # address of the page that tells all; empty for none
    for_all: bool  # no cause is named, and it is right for the likeliest two


@dataclass(frozen=True, kw_only=True, slots=True)
class LookAnswerView:
    says: str
    drawing: str
    shows: str
    fragment: str
    address: str  # on an end: the page of what it would point to
    then: str  # what it would make of the matter
    sure: str


@dataclass(frozen=True, kw_only=True, slots=True)
class LookView:
    """The most telling thing not yet looked at."""

    question: str
    where: str
    answers: tuple[LookAnswerView, ...]
    how_to_check: str


@dataclass(frozen=True, kw_only=True, slots=True)
class CheckView:
    """The look that could prove the named cause wrong; its answers by what comes then."""

    do: str
    fits: tuple[LookAnswerView, ...]
    unsure: tuple[LookAnswerView, ...]
    other: tuple[LookAnswerView, ...]
    if_fails: str
    open: bool
    passed: bool
    failed: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class AlsoView:
    name: str
    address: str
    sure: str
    tenths: int
    split: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ReasonView:
    says: str
    how: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ClosedView:
    tick: str
    say: str


@dataclass(frozen=True, kw_only=True, slots=True)
class RungStepView:
    name: str
    address: str
    in_short: str
    closed: tuple[ClosedView, ...]
    ticks: str  # class names, one for each tick that closes it


@dataclass(frozen=True, kw_only=True, slots=True)
class RungView:
    tier: str
    name: str
    check_first: bool  # shut until the check has passed
    ask_first: bool  # shut, and there is nothing left to check
    steps: tuple[RungStepView, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class ResultView:
    plant: str
    fragment: str
    head: HeadView
    within: tuple[AlsoView, ...]
    now: StepView
    look: LookView | None
    check: CheckView | None
    also: tuple[AlsoView, ...]
    reasons_for: tuple[ReasonView, ...]
    reasons_against: tuple[ReasonView, ...]
    why: bool
    rungs: tuple[RungView, ...]
    ticks: bool  # some step goes away when a tick is set
    whole: Named | None  # the leading cause's page
    year: str  # where its year is told by place; empty where no season is known
    caution: bool  # a spray stands on the ladder
    alone: bool  # something is named, not very surely, and nothing else fits the answers
    equal: str  # the leading cause if all were equally common
    told: tuple[Told, ...]
    two: tuple[Named, ...]  # a pair of causes, if two at once fit better than one
    notes: tuple[str, ...]
    letter: bool  # it was opened by a link of the nursery's
    led: str  # what the words of a letter led to, where the link says it
    link: str  # the whole address that holds these findings
    mail: str


@dataclass(frozen=True, kw_only=True, slots=True)
class SheetLink:
    """A link to a PDF that says what it is, its pages and its size."""

    address: str
    paper: str
    sides: int
    kilobytes: int


def every_part(view: Any, name: str = "") -> Any:
    """A view of this type with nothing in it: each list one long, each optional part there.

    Links are empty, so that a template writes none that leads astray.
    """
    if is_dataclass(view):
        parts = get_type_hints(view)
        return view(**{it: every_part(kind, it) for it, kind in parts.items()})  # type: ignore[operator]
    inside = get_args(view)  # of a list, or of a part that may be missing
    if inside:
        part = every_part(inside[0], name)
        return (part,) if get_origin(view) is tuple else part
    return {bool: True, int: 0, str: "" if name in LINKS else "-"}[view]
