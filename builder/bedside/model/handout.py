"""The record of <plant>/handout.yaml, as frozen objects: what the sheet in the box says.

Like `bedside.model.records`, nothing here checks shape again. Some texts come twice: for a
whole sheet and, shorter, for a half one.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from bedside.model.records import Claim


@dataclass(frozen=True, kw_only=True, slots=True)
class Short:
    """What a half sheet says of a trouble."""

    see: str
    do: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Trouble:
    """One drawing with what to do first. `drawing` is the id of a sign's answer."""

    id: str
    drawing: str
    cause: str
    first_step: str
    see: str
    do: str
    half: Short
    sources: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Creature:
    """What lies on the ruler at true size."""

    name: str
    drawing: str
    length_mm: int
    length: str
    egg: str
    egg_mm: str  # "0.9"
    eggs: int
    sources: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Handout:
    """All that the sheets of one plant say."""

    file: str
    title: str
    today: tuple[Claim, ...]
    today_half: Claim
    pictures: Mapping[str, str]  # answer of a sign -> the word under it
    troubles: Mapping[str, Trouble]
    regions: Mapping[str, tuple[str, ...]]
    unsure: tuple[str, ...]
    year: tuple[str, ...]
    pests: str  # the row of the year from the first hatch to frost
    after: Claim
    after_half: Claim
    ruler: tuple[Creature, ...]
    young: str
    cautions: tuple[Claim, ...]
    cautions_half: tuple[Claim, ...]
    help: Claim
    help_half: Claim
    reviewed: str
