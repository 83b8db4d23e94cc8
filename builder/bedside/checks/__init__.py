"""Checks of meaning: a library in, every problem out. CHECKS below is the rulebook.

A check is a function named after the fault it finds; its name, with hyphens, is the code
that is printed and the name of its page in tests/cases/checks/. It yields `Fault`s.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date

from bedside.checks import (
    accessibility,
    arithmetic,
    evidence,
    handout,
    letter_phrases,
    plans,
    provenance,
    published,
    reading,
    references,
    season,
    tree,
    unique,
    uses,
    wording,
)
from bedside.checks.material import Faults, Material, gather
from bedside.model.library import Library
from bedside.problems import ERROR, Problem, in_order, problem_at
from bedside.read.plain_text import collector_paused

Check = Callable[[Material], Faults]

# What must be right before the arithmetic can be asked anything.
STRUCTURE: tuple[Check, ...] = (
    references.unknown_source,
    references.unknown_sign,
    references.unknown_answer,
    references.unknown_cause,
    references.unknown_control,
    references.unknown_first_step,
    references.unknown_family,
    references.unknown_zone,
    references.unknown_season,
    references.unknown_country,
    unique.clashing_answer,
    tree.way_without_answer,
    tree.missing_otherwise,
    tree.taken_name,
    tree.asked_twice,
    evidence.two_always,
    evidence.missing_evidence,
    handout.unknown_on_sheet,
    *season.CHECKS,
    *letter_phrases.CHECKS,
)
# What holds for records whose ids are right.
MEANING: tuple[Check, ...] = (
    references.missing_drawing,
    uses.unused_source,
    uses.unused_control,
    uses.unused_first_step,
    uses.unused_family,
    uses.silent_sign,
    unique.same_question,
    unique.same_short_address,
    unique.same_address,
    unique.same_name_twice,
    unique.same_cause,
    unique.same_cause_name,
    unique.same_drawing,
    unique.zone_overlap,
    published.lost_id,
    published.reused_id,
    published.wrong_move,
    tree.proposed_tree,
    tree.unmet_needs,
    tree.senseless_question,
    tree.long_walk,
    tree.long_tree,
    evidence.own_answer,
    evidence.same_evidence,
    evidence.cause_never_shown,
    plans.not_gentlest_first,
    plans.advised_against_step,
    plans.repeated_step,
    plans.missing_check,
    plans.idle_check,
    plans.half_check,
    plans.barred_check,
    plans.few_look_alikes,
    plans.contradicting_steps,
    plans.thin_cause,
    plans.unguarded_spray,
    plans.open_spray,
    plans.unexplained_advice,
    plans.missing_line,
    handout.sheet_disagrees,
    provenance.weak_source_only,
    provenance.undated_law,
    wording.dose,
    wording.brand_like,
    reading.long_question,
    reading.long_answer,
    reading.long_question_page,
    reading.long_sentence,
    reading.long_paragraph,
    reading.long_list,
    reading.hard_question,
    reading.hard_step,
    reading.hard_prose,
    reading.long_words,
    reading.too_much_taught,
    wording.and_or,
    wording.belittling_word,
    wording.exclamation_mark,
    wording.hedged_number,
    wording.colour_only,
    wording.unexplained_word,
    wording.many_abbreviations,
    wording.pattern_text,
    wording.bare_cant_tell,
    accessibility.low_contrast,
    accessibility.spoiled_drawing,
    accessibility.undrawn_answer,
    accessibility.missing_alt_text,
    accessibility.alt_text_length,
)
# Asked of the arithmetic, and only when the structure is sound.
REASONED: tuple[Check, ...] = (
    arithmetic.wrong_end,
    evidence.never_asked,
    evidence.odd_way_in,
    arithmetic.step_never_first,
)
CHECKS = STRUCTURE + MEANING + REASONED
# What is said of many warnings of one kind, after their number; else the rule of the check.
OF_MANY: Mapping[str, str] = {
    "unused-control": "controls that no plan uses: stock for later, fine to keep",
    "unused-source": "sources that nothing cites: stock for later, fine to keep",
    "pattern-text": "lines of a pattern that still wait for your own words",
    "missing-drawing": "drawings are named and not drawn yet: a plain sketch is shown",
    "weak-source-only": "lines rest on a weak source alone",
    "undrawn-answer": "answers have no drawing yet: a plain sketch is shown",
    "cause-never-shown": "causes are named at no end of the tree",
    "few-look-alikes": "causes have fewer than two look-alikes",
    "missing-check": "causes have no look that could prove them wrong",
    "missing-evidence": "causes speak of no sign",
    "thin-cause": "causes lack how to know them, or a plan",
    "silent-sign": "signs of which no cause speaks",
    "left-out": "lines name a draft, and are left out of the site with it",
    "missing-key": "things are still missing in drafts",
    "stale-review": "records were last looked over more than two years ago",
}
# Only when a day is given: no check reads the clock.
DATED: tuple[Callable[[Material, date], Faults], ...] = (
    provenance.stale_review,
    provenance.future_review,
)


def run(library: Library, today: date | None = None) -> tuple[Problem, ...]:
    """Run every check; those of the arithmetic only if the structure is right."""
    with collector_paused():
        return _run(library, today)


def _run(library: Library, today: date | None) -> tuple[Problem, ...]:
    material = gather(library)
    found = list(_problems(STRUCTURE, material))
    sound = not any(problem.level == ERROR for problem in found)
    found += _problems(MEANING, material)
    if sound:
        found += _problems(REASONED, material)
    if today is not None:
        for check in DATED:
            found += _named(code_of(check), check(material, today))
    return in_order(found)


def code_of(check: Callable[..., Faults]) -> str:
    """Give the code of a check: its name, with hyphens."""
    return check.__name__.replace("_", "-")


def kinds_in_words() -> dict[str, str]:
    """What is said of many warnings of one kind, by code."""
    every: tuple[Callable[..., Faults], ...] = (*CHECKS, *DATED)
    rules = {code_of(it): f"times not so: {str(it.__doc__).strip()}" for it in every}
    return {**rules, **OF_MANY}


def _problems(checks: Iterable[Check], material: Material) -> Iterator[Problem]:
    for check in checks:
        yield from _named(code_of(check), check(material))


def _named(code: str, faults: Faults) -> Iterator[Problem]:
    for fault in faults:
        yield problem_at(fault.place, code, fault.message, fault.hint, level=fault.level)
