"""The records of a knowledge base, as frozen objects.

JSON Schema (knowledge/schema) says the shape of the files; nothing here checks it again.
Every record keeps `file`, its path below the knowledge folder, so that a problem found
later can be shown at its place (see `bedside.model.library.Library.place`).

Text fields are plain text: escaped when a page is rendered, never trusted as markup.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

FREQUENCIES = ("always", "usually", "sometimes", "rarely", "never")
# Gentlest first. `next-winter` is the foot of the ladder, `advised-against` is never on it.
TIERS = (
    "look",
    "hand",
    "helpers",
    "narrow-spray",
    "last-resort",
    "next-winter",
    "advised-against",
)
SPRAY_TIERS = ("narrow-spray", "last-resort")
# Where a sign is looked at; what is told from memory needs no drawing.
LOOKED_AT = ("leaf", "inside", "foot", "root", "flower", "bed", "memory")
MEMORY = "memory"
KINDS = ("pest", "pathogen", "disorder", "normal", "unlisted")  # of causes
OTHERWISE = "otherwise"  # the way of every other answer, and of "I can't tell"
TICKS = ("in-water", "in-bloom", "to-eat", "children-pets")


@dataclass(frozen=True, kw_only=True, slots=True)
class Claim:
    """One factual line and the ids of the sources that say it."""

    say: str
    sources: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Source:
    """Where a fact is from: a publication, or custom, memory or judgement."""

    id: str
    kind: str
    title: str
    publisher: str = ""
    year: str = ""
    number: str = ""
    url: str = ""
    as_of: str = ""
    seen: str = ""
    weak: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Nursery:
    """Who is speaking, and how the site looks."""

    name: str
    site: str
    email: str
    country: str
    home_state: str
    about: tuple[str, ...]
    interest: str
    replacement: str
    photo_guide: str  # the page that says what to photograph: "/topics/photographs/"
    sign_off: str
    written_by: str
    checked_by: str
    paper: str
    address: tuple[str, ...]
    light: Mapping[str, str]
    dark: Mapping[str, str]
    format: int = 1


@dataclass(frozen=True, kw_only=True, slots=True)
class Zone:
    """A broad zone of climate: two-letter postal codes and ISO 3166 codes."""

    id: str
    name: str
    states: tuple[str, ...]
    countries: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Season:
    id: str
    name: str
    months: tuple[int, ...]  # 1-12, northern hemisphere


@dataclass(frozen=True, kw_only=True, slots=True)
class EmergencyLine:
    what: str  # life, crisis, poison, animal, pesticide, water
    number: str
    say: str
    sources: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Country:
    id: str
    name: str
    lines: tuple[EmergencyLine, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class FirstAid:
    id: str
    title: str
    short: str  # the box in a reply, safe on its own
    rinse_first: bool  # before the call
    short_beside: str  # the same where another box follows; may be empty
    short_animal: str  # the same for an animal; may be empty
    do: tuple[Claim, ...]
    do_not: tuple[Claim, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Emergencies:
    checked: str
    unknown_country: str
    countries: tuple[Country, ...]
    first_aid: tuple[FirstAid, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class LocalService:
    """One row of knowledge/extension.csv."""

    state: str  # postal code, empty for a directory of all
    name: str
    service: str
    url: str
    basis: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Control:
    """One control measure, used by any plant or by one. Never a dose."""

    id: str
    file: str
    status: str  # draft, or empty: published
    plant: str  # whose it is alone; empty for any
    name: str
    tier: str
    targets: str
    in_short: str
    by_hand: bool
    how: tuple[Claim, ...]
    when: tuple[Claim, ...]
    limits: tuple[Claim, ...]
    hurts: tuple[Claim, ...]
    closed_when: Mapping[str, Claim]  # tick -> why this control goes away
    label: tuple[Claim, ...]
    active: str
    group: str  # resistance group
    evidence: tuple[Claim, ...]
    not_recommended: tuple[Claim, ...]
    read_more: tuple[str, ...]  # addresses of topics: "/topics/pets/"
    reviewed: str


_ADDED = (
    "how", "when", "limits", "hurts", "label", "evidence", "not_recommended", "read_more",
)  # fmt: skip
_INSTEAD = ("targets", "in_short")


@dataclass(frozen=True, kw_only=True, slots=True)
class ControlLines:
    """What one plant adds to a control that is shared."""

    id: str
    targets: str  # instead of the shared one; empty to keep that
    in_short: str  # the same
    how: tuple[Claim, ...]
    when: tuple[Claim, ...]
    limits: tuple[Claim, ...]
    hurts: tuple[Claim, ...]
    label: tuple[Claim, ...]
    evidence: tuple[Claim, ...]
    not_recommended: tuple[Claim, ...]
    read_more: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Section:
    heading: str
    claims: tuple[Claim, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Topic:
    """A page of advice that is not about one cause, such as dividing."""

    id: str
    file: str
    status: str
    plant: str  # whose it is alone; empty for any
    address: str
    title: str
    audience: str  # gardener, nursery
    in_short: str
    sections: tuple[Section, ...]
    read_more: tuple[str, ...]  # addresses of other topics
    reviewed: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Answer:
    id: str  # unique across the plant, never reused; what stands in a link
    says: str
    shows: str  # alternative text: what the drawing shows
    drawing: str
    words: tuple[str, ...] = ()  # what people write for it
    telltale: bool = False  # seldom seen where it is not


@dataclass(frozen=True, kw_only=True, slots=True)
class Sign:
    """One thing a gardener can look at. `answers` exclude each other."""

    id: str
    file: str
    status: str
    question: str
    where: str
    ease: str
    looked_at: str  # one of LOOKED_AT
    group: str  # signs of one group say the same thing; empty for none
    # Sign -> answers, one of which must have been given.
    needs: Mapping[str, tuple[str, ...]]
    # Answers of other signs after which asking is senseless; a sign's own id stands for
    # each of its answers but "none of these".
    not_after: tuple[str, ...]
    answers: tuple[Answer, ...]
    none: Answer | None  # "none of these", where that can be true
    cant_tell: str
    how_to_check: str
    sources: tuple[str, ...]
    reviewed: str
    normal: str = ""  # the answer of a healthy plant, or of one with another trouble

    @property
    def all_answers(self) -> tuple[Answer, ...]:
        """Every answer that is a finding: the listed ones, then none of these."""
        return self.answers if self.none is None else (*self.answers, self.none)


@dataclass(frozen=True, kw_only=True, slots=True)
class DisprovingCheck:
    """The look that could prove a cause wrong: answers of `sign` that pass and fail."""

    sign: str
    passes: tuple[str, ...]
    fails: tuple[str, ...]
    do: str
    if_fails: str
    told_by: tuple[str, ...] = ()  # answers of other signs that tell the same


@dataclass(frozen=True, kw_only=True, slots=True)
class LookAlike:
    cause: str
    split: str
    sources: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class PlanStep:
    """One rung: a control, with what this cause adds to it."""

    control: str
    do: str
    when: str
    sources: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class LifeStage:
    name: str
    says: str
    size_mm: str  # "1", "38-50"; empty when not known
    drawing: str
    sources: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Cause:
    id: str
    file: str
    status: str
    name: str  # "Lesser bell moth": headings
    called: str  # "the lesser bell moth": inside a sentence
    guesses: tuple[str, ...]  # what customers call it, right or wrong
    careful: str  # a caution in every reply that names it; may be empty
    latin: str
    kind: str
    family: str  # causes that share a first step; empty for none
    common: str
    in_short: str
    short: str  # short address for print, /c/<short>
    evidence: Mapping[str, Mapping[str, str]]  # sign -> answer -> frequency word
    where_when: Mapping[str, Mapping[str, str]]  # zone -> season -> context word
    where_when_sources: tuple[str, ...]
    know_it: tuple[Claim, ...]
    check: DisprovingCheck | None
    look_alikes: tuple[LookAlike, ...]
    first_step: str
    also_right: tuple[str, ...]
    harmed_by: tuple[str, ...]  # first steps that do damage if this is the cause
    plan: tuple[PlanStep, ...]
    works_when: str
    look_again_days: int
    write_if: str
    do_not: tuple[Claim, ...]
    next_winter: tuple[Claim, ...]
    keep_it: tuple[Claim, ...]  # if you would rather keep the animal
    life: tuple[LifeStage, ...]
    share: Claim | None  # can I divide or share?
    good_to_know: tuple[Claim, ...]
    read_more: tuple[str, ...]  # addresses of topics: "/topics/pets/"
    drawing: str
    photos: tuple[Mapping[str, str], ...]  # file, credit, licence, shows
    reviewed: str


@dataclass(frozen=True, kw_only=True, slots=True)
class FirstStep:
    """What to do now. Harmless in itself; `Cause.harmed_by` names the exceptions."""

    id: str
    do: str
    do_after: Mapping[str, str]  # answer -> what `do` says instead once it was given
    asks: tuple[str, ...]  # signs that `do` has one look at
    rules_out: tuple[str, ...]  # signs that nobody may look at who takes this step
    idle: bool  # leaves all as it is: said only where most have nothing wrong
    how: tuple[Claim, ...]
    by_hand: bool
    control: str  # the control that tells all about it; empty for none

    def says(self, told: Iterable[str | None]) -> str:
        """The step in words for somebody who gave these answers."""
        after = (self.do_after.get(answer or "", "") for answer in told)
        return next(filter(None, after), self.do)


@dataclass(frozen=True, kw_only=True, slots=True)
class Family:
    id: str
    called: str  # "a bell moth"
    unclear: str  # "which one is not clear yet"
    careful: str  # a caution in every reply that names one of them; may be empty


@dataclass(frozen=True, kw_only=True, slots=True)
class Question:
    """One question of the tree: where each answer of its sign leads."""

    id: str  # the sign, or sign/answer-before where an earlier branch asks the same
    sign: str
    path: tuple[str, ...]  # where it stands in the file
    ways: Mapping[str, str]  # answer -> question or end
    otherwise: str  # where every other answer and "I can't tell" lead

    def after(self, answer: str | None) -> str:
        """The question or end that an answer leads to."""
        return self.otherwise if answer is None else self.ways.get(answer, self.otherwise)


@dataclass(frozen=True, kw_only=True, slots=True)
class End:
    """Where a way ends, at the cause or the few causes that its answers point to."""

    id: str  # the first cause, or cause/answer-before
    path: tuple[str, ...]
    shows: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Tree:
    """The grower's questions. Each has one way to it, so nothing can be asked in a ring."""

    file: str
    first: str
    questions: Mapping[str, Question]  # in the order of reading
    ends: Mapping[str, End]
    proposed: bool = False  # by the arithmetic: there is no file


@dataclass(frozen=True, kw_only=True, slots=True)
class Case:
    """A worked case from a publication: findings in, cause out."""

    id: str
    file: str
    tells: str
    findings: tuple[str, ...]  # answer ids
    cause: str
    also: tuple[str, ...]
    second: str
    zone: str
    season: str
    source: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """What a customer asks beside the cause, and the line of a letter that answers it."""

    id: str
    asks: str
    about: tuple[str, ...]  # words of a question that is about it
    words: tuple[str, ...]  # turns of phrase by which it is asked
    reply: str  # safe whatever the cause; empty where the cause is the answer
    instead: Mapping[str, str]  # a cause or a kind of cause -> a better reply for it
    arrived: str  # a better reply where the root came bad in the parcel
    well: str  # a better reply where nothing is told to be wrong
    page: str  # the page that says more: "/topics/pets/"
    sources: tuple[str, ...]

    def reply_for(self, cause: str, kind: str) -> str:
        """The reply to one who has this cause: its own, its kind's, or the one for all."""
        return self.instead.get(cause) or self.instead.get(kind) or self.reply


@dataclass(frozen=True, kw_only=True, slots=True)
class WayIn:
    """A short way from the first page into the tree, past what goes without saying."""

    says: str
    findings: tuple[str, ...]  # the answers it gives


@dataclass(frozen=True, kw_only=True, slots=True)
class Plant:
    id: str
    file: str
    status: str
    name: str  # "Mossbell"
    plural: str  # "mossbells"
    latin: str
    also_called: tuple[str, ...]  # by these a letter is about it, too
    taught: Mapping[str, str]  # terms that pages use -> plain words
    home_title: str
    home_line: str
    ways_in: tuple[WayIn, ...]
    drawing: str
    parts: Mapping[str, str]  # part -> plain words
    normal: tuple[Claim, ...]
    notes: Mapping[str, tuple[Claim, ...]]  # eaten, water, pets, look-alike-plants
    families: Mapping[str, Family]
    read_more: tuple[str, ...]  # addresses of topics that its first page leads to
    first_steps: Mapping[str, FirstStep]
    signs: Mapping[str, Sign]
    causes: Mapping[str, Cause]
    tree: Tree
    cases: tuple[Case, ...]
    drawings: Mapping[str, str] = field(default_factory=dict)  # name -> SVG text
    asked: Mapping[str, Asked] = field(default_factory=dict)  # in the order of the file
    control_lines: Mapping[str, ControlLines] = field(default_factory=dict)

    def fitted(self, control: Control) -> Control:
        """A shared control with what this plant says of it."""
        lines = self.control_lines.get(control.id)
        if lines is None:
            return control
        more = {name: getattr(control, name) + getattr(lines, name) for name in _ADDED}
        instead = {name: it for name in _INSTEAD if (it := getattr(lines, name))}
        return replace(control, **more, **instead)


@dataclass(frozen=True, kw_only=True, slots=True)
class Knowledge:
    """Everything the grower knows, built once and never changed."""

    nursery: Nursery
    sources: Mapping[str, Source]
    emergencies: Emergencies
    zones: Mapping[str, Zone]
    seasons: Mapping[str, Season]
    services: tuple[LocalService, ...]
    controls: Mapping[str, Control]
    topics: Mapping[str, Topic]
    plants: Mapping[str, Plant]

    def controls_of(self, plant: str) -> Mapping[str, Control]:
        """The controls that one plant may use: those of all, and its own."""
        return {id_: it for id_, it in self.controls.items() if it.plant in ("", plant)}
