"""Views of one record: a cause with its plan, a control, a topic; and the lists of them."""

from collections.abc import Mapping
from dataclasses import dataclass

from bedside.model.records import Cause, Claim, Control, Plant, Topic
from bedside.pages.frame.citing import Citation
from bedside.pages.frame.views import Named, RungStepView, SheetLink


@dataclass(frozen=True, kw_only=True, slots=True)
class PlanStepView:
    """One step of a whole plan: what the cause adds, then what the control says."""

    step: RungStepView
    do: str
    when: str
    sources: tuple[str, ...]
    control: Control
    drawing: str  # empty where there is none


@dataclass(frozen=True, kw_only=True, slots=True)
class TierView:
    tier: str
    name: str
    spray: bool
    steps: tuple[PlanStepView, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class SplitView:
    name: str
    address: str
    split: str
    drawing: str
    sources: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class CheckRow:
    says: str
    drawing: str
    shows: str


@dataclass(frozen=True, kw_only=True, slots=True)
class WhereView:
    """How common a cause is in one zone, a word for each season."""

    zone: str
    words: tuple[tuple[str, str], ...]  # season and word


@dataclass(frozen=True, kw_only=True, slots=True)
class CauseView:
    plant: Plant
    cause: Cause
    tiers: tuple[TierView, ...]
    sprays: bool
    by_hand: bool
    ticks: bool
    splits: tuple[SplitView, ...]
    question: str
    passes: tuple[CheckRow, ...]
    fails: tuple[CheckRow, ...]
    first_step: str
    where: tuple[WhereView, ...]
    year: str
    sheets: tuple[SheetLink, ...]
    sources: Mapping[str, Citation]
    reviewed: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ControlView:
    control: Control
    tier: str
    spray: bool
    used_for: tuple[Named, ...]
    closed: Mapping[str, Claim]
    drawing: str
    sources: Mapping[str, Citation]
    reviewed: str


@dataclass(frozen=True, kw_only=True, slots=True)
class TopicView:
    topic: Topic
    sources: Mapping[str, Citation]
    reviewed: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ListedCause:
    name: str
    latin: str
    address: str
    drawing: str
    in_short: str
    kind: str
    common: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ListedControl:
    name: str
    address: str
    in_short: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ControlGroup:
    tier: str
    name: str
    controls: tuple[ListedControl, ...]
