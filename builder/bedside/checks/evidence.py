"""What causes say of signs: no contradictions, and no two causes that look alike in all."""

from collections.abc import Mapping

from bedside.checks.material import Fault, Faults, Material
from bedside.model.records import Cause


def two_always(material: Material) -> Faults:
    """A cause says 'always' of at most one answer to a sign: answers exclude each other."""
    for cause in material.causes:
        for sign, words in cause.evidence.items():
            always = [answer for answer, word in words.items() if word == "always"]
            for answer in always[1:]:
                yield Fault(
                    place=material.library.place(cause.file, "evidence", sign, answer),
                    message=f"both '{always[0]}' and '{answer}' are always seen",
                    hint="answers exclude each other; say 'usually' or 'sometimes'",
                )


def same_evidence(material: Material) -> Faults:
    """No two causes say the same of every sign; no question could tell them apart."""
    for plant in material.plants:
        seen: dict[object, Cause] = {}
        for cause in plant.causes.values():
            key = _frozen(cause.evidence)
            if key and key in seen:
                yield Fault(
                    place=material.library.place(cause.file, "evidence", key=True),
                    message=f"the evidence is the same as that of '{seen[key].id}'",
                    hint="name a sign that splits them, or make them one cause",
                )
            seen.setdefault(key, cause)


def missing_evidence(material: Material) -> Faults:
    """Every cause speaks of some sign; only what is not on the list speaks of none."""
    for cause in material.causes:
        if not cause.evidence and cause.kind != "unlisted":
            yield Fault(
                place=material.library.place(cause.file, "name", key=True),
                message=f"'{cause.id}' speaks of no sign",
                hint="say under 'evidence' how often each answer is seen with it",
            )


def cause_never_shown(material: Material) -> Faults:
    """Some end of the tree names each cause."""
    for plant in material.plants:
        shown = {cause for end in plant.tree.ends.values() for cause in end.shows}
        for cause in plant.causes.values():
            if cause.id not in shown and cause.kind != "unlisted":
                yield Fault(
                    place=material.library.place(cause.file, "name", key=True),
                    message=f"no way through the tree ends at '{cause.id}'",
                    hint="name it in tree.yaml, at the end where its answers lead",
                )


def _frozen(evidence: Mapping[str, Mapping[str, str]]) -> frozenset[object]:
    """Make evidence comparable whatever the order of its lines."""
    return frozenset((sign, frozenset(words.items())) for sign, words in evidence.items())
