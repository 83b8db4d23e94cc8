"""Records set aside: drafts, and what is too broken to be shown while it is edited.

In: documents, and which of them stay away. Out: documents that name none of those any more,
each value still with the place it was written at, and a warning for everything left out.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from bedside.model.library import Document, Path, items_of, uses_in
from bedside.model.records import OTHERWISE
from bedside.problems import ERROR, WARNING, Problem, problem_at

DRAFT = "draft"
KINDS = ("cause", "sign", "control", "topic", "plant")  # those that may be drafts
# What also a draft must have.
MUST: Mapping[str, tuple[str, ...]] = {
    "cause": ("name", "in_short", "evidence", "first_step"),
    "sign": ("question", "answers"),
    "control": ("name", "in_short"),
    "topic": ("address", "title", "in_short"),
    "plant": ("name",),
}
NOT_YET = "not written yet"
NO_DAY = "2000-01-01"  # never shown to others: what is published has a day of its own
# Stands on a draft's page, shown to its grower alone, for what is still missing.
UNTIL_WRITTEN: Mapping[str, Mapping[str, Any]] = {
    "cause": {
        "called": NOT_YET, "kind": "disorder", "common": "uncommon", "works_when": NOT_YET,
        "look_again_days": 7, "write_if": NOT_YET, "reviewed": NO_DAY,
    },
    "sign": {
        "where": NOT_YET, "ease": "fair", "looked_at": "leaf", "cant_tell": "I can't tell",
        "how_to_check": NOT_YET, "from": ["judgement"], "reviewed": NO_DAY,
    },
    "control": {"tier": "hand", "targets": NOT_YET, "evidence": [], "reviewed": NO_DAY},
    "topic": {"audience": "gardener", "sections": [], "reviewed": NO_DAY},
    "plant": {
        "plural": NOT_YET, "latin": NOT_YET, "home_title": NOT_YET, "home_line": NOT_YET,
        "drawing": NOT_YET, "parts": {}, "normal": [], "notes": {}, "families": {},
    },
}  # fmt: skip
# Where a file names a record: kind named, kind of file, place, and how many steps above the
# name stands what makes no sense without it.
NAMED: tuple[tuple[str, str, str, int], ...] = (
    ("cause", "cause", "look_alikes.*.cause", 1),
    ("cause", "cases", "*.cause", 1),
    ("cause", "cases", "*.second", 1),
    ("cause", "cases", "*.also.*", 0),
    ("cause", "handout", "troubles.*.cause", 1),
    ("cause", "asked", "*.for/", 0),
    ("sign", "cause", "evidence/", 0),
    ("sign", "sign", "not_after.*", 0),
    ("sign", "first_steps", "*.asks.*", 0),
    ("sign", "first_steps", "*.rules_out.*", 0),
    ("sign", "cases", "*.findings.*", 2),
    ("answer", "cause", "check.told_by.*", 0),
    ("answer", "first_steps", "*.do_after/", 0),
    ("answer", "plant", "ways_in.*.findings.*", 2),
    ("answer", "sign", "not_after.*", 0),
    ("answer", "cases", "*.findings.*", 2),
    ("answer", "handout", "troubles.*.drawing", 1),
    ("answer", "handout", "pictures/", 0),
    ("control", "cause", "plan.*.control", 1),
    ("control", "first_steps", "*.control", 0),
    ("control", "control_lines", "/", 0),
    ("page", "asked", "*.page", 1),
    ("page", "cause", "read_more.*", 0),
    ("page", "control", "read_more.*", 0),
    ("page", "control_lines", "*.read_more.*", 0),
    ("page", "topic", "read_more.*", 0),
    ("page", "plant", "read_more.*", 0),
    ("page", "nursery", "photo_guide", 0),
)

# Nobody can take the look that proves such a cause wrong, or come to such a sign.
NEEDED = (("sign", "cause", "check.sign"), ("sign", "sign", "needs/"))


def pages_named() -> Iterator[tuple[str, str]]:
    """Where a file names a page of the site: its kind and the place."""
    return ((kind, place) for named, kind, place, _ in NAMED if named == "page")


@dataclass(frozen=True, kw_only=True, slots=True)
class Gone:
    """What stays away: names by plant and kind; shared records have no plant."""

    files: frozenset[str]
    plants: frozenset[str]
    names: frozenset[tuple[str, str, str]]

    def holds(self, document: Document) -> bool:
        """Tell whether a file stays away, by itself or with its plant."""
        return document.file in self.files or document.plant in self.plants

    def has(self, document: Document, kind: str, name: str) -> bool:
        """Tell whether a name in a file means something that stays away."""
        plant = "" if kind in ("control", "page") else document.plant
        return (plant, kind, name) in self.names


@dataclass(frozen=True, kw_only=True, slots=True)
class Cut:
    """What is taken out of one file: paths to drop, to fill from below, and to rewrite."""

    drop: frozenset[Path] = frozenset()
    lift: Mapping[Path, Path] = field(default_factory=dict)
    put: Mapping[Path, Any] = field(default_factory=dict)


def is_draft(document: Document) -> bool:
    """Tell whether a record says of itself that it is a draft."""
    data = document.data
    return document.kind in KINDS and isinstance(data, dict) and data.get("status") == DRAFT


def drafts_of(documents: Iterable[Document]) -> frozenset[str]:
    """The files of all drafts; where a plant is one, each of its files is."""
    documents = tuple(documents)
    plants = {it.plant for it in documents if it.kind == "plant" and is_draft(it)}
    return frozenset(it.file for it in documents if it.plant in plants or is_draft(it))


def filled(document: Document) -> Document:
    """A draft with something in each place that still is empty."""
    if not is_draft(document):
        return document
    return replace(document, data={**UNTIL_WRITTEN[document.kind], **document.data})


def without(
    documents: Iterable[Document], files: Collection[str], unread: Iterable[Document] = ()
) -> tuple[tuple[Document, ...], tuple[Problem, ...]]:
    """Documents without some files and without what names them, and what was left out.

    `unread` are files that could not be read: all that is known of them is their name.
    """
    documents = tuple(documents)
    aside = frozenset(files)
    while True:
        gone = _gone((*documents, *unread), aside)
        stay = [it for it in documents if not gone.holds(it)]
        more = {it.file for it in stay if any(_needs(it, gone))}
        if not more:
            break
        aside |= more
    notes = [_left_out(it) for it in documents if it.file in aside - frozenset(files)]
    mended = [_mended(document, gone, stay) for document in stay]
    notes += [note for _, said in mended for note in said]
    # A tree of which no question is left is no tree: one is proposed.
    whole = (it for it, _ in mended if it.kind != "tree" or isinstance(it.data, dict))
    return tuple(whole), tuple(notes)


def _gone(documents: Iterable[Document], files: frozenset[str]) -> Gone:
    away = [it for it in documents if it.file in files]
    names = {("" if it.kind == "control" else it.plant, it.kind, it.id) for it in away}
    for it in away:
        if it.kind == "sign":
            names |= {(it.plant, "answer", answer) for answer in _answers(it.data)}
        if it.kind == "topic" and isinstance(it.data, dict):
            names.add(("", "page", f"/{str(it.data.get('address', '')).strip('/')}/"))
    plants = {it.plant for it in away if it.kind in ("plant", "first_steps")}
    return Gone(files=files, plants=frozenset(plants), names=frozenset(names))


def _answers(data: Any) -> Iterator[str]:
    if isinstance(data, dict):
        for answer in (*(data.get("answers") or ()), data.get("none")):
            if isinstance(answer, dict) and isinstance(answer.get("id"), str):
                yield answer["id"]


def _needs(document: Document, gone: Gone) -> Iterator[str]:
    for named, kind, place in NEEDED:
        if document.kind == kind:
            found = uses_in(document, place)
            yield from (use.name for use in found if gone.has(document, named, use.name))


def _left_out(document: Document) -> Problem:
    return problem_at(
        document.place(),
        "left-out",
        "left out as well: it needs a look at a sign that is left out",
        "finish that sign, or name another one here",
        level=WARNING,
    )


def _mended(
    document: Document, gone: Gone, stay: Iterable[Document]
) -> tuple[Document, list[Problem]]:
    if document.kind == "tree":
        return _mended_tree(document, gone, stay)
    drop, notes = set(), []
    for named, kind, place, above in NAMED:
        if document.kind != kind:
            continue
        for use in uses_in(document, place):
            if gone.has(document, named, use.name):
                drop.add(use.path[: len(use.path) - above])
                notes.append(_note(document, use.path, use.name, key=use.is_key))
    drop |= set(_unlisted(document, {path[-1] for path in drop if path[0] == "troubles"}))
    return _cut(document, Cut(drop=frozenset(drop))), notes


def _unlisted(document: Document, troubles: Collection[str | int]) -> Iterator[Path]:
    """Where a sheet names troubles that it no longer has."""
    for place in ("regions.*.*", "unsure.*") if document.kind == "handout" else ():
        yield from (it.path for it in uses_in(document, place) if it.name in troubles)


def _note(document: Document, path: Path, name: str, *, key: bool) -> Problem:
    return problem_at(
        document.place(*path, key=key),
        "left-out",
        f"'{name}' is not on the site, so what names it here is left out",
        "it comes back when that record is whole and no draft",
        level=WARNING,
    )


def _mended_tree(
    document: Document, gone: Gone, stay: Iterable[Document]
) -> tuple[Document, list[Problem]]:
    ends = [
        it.id
        for it in stay
        if it.plant == document.plant
        and it.kind == "cause"
        and it.data.get("kind") == "unlisted"
    ]
    drop: set[Path] = set()
    lift: dict[Path, Path] = {}
    put: dict[Path, Any] = {}
    notes = []
    for path, what in _places(document.data, ()):
        if isinstance(what, dict):
            sign = next(iter(what))
            if gone.has(document, "sign", sign):
                lift[path] = (*path, sign, OTHERWISE)
                notes.append(_note(document, (*path, sign), sign, key=True))
            continue
        shown = [what] if isinstance(what, str) else what
        away = [name for name in shown if gone.has(document, "cause", name)]
        notes += [_note(document, path, name, key=False) for name in away]
        if away and len(away) < len(shown):
            put[path] = [name for name in shown if name not in away]
        elif away and path and path[-1] != OTHERWISE:
            drop.add(path)
        elif away and ends:
            put[path] = ends[0]
    return _cut(document, Cut(drop=frozenset(drop), lift=lift, put=put)), notes


def _places(data: Any, path: Path) -> Iterator[tuple[Path, Any]]:
    """Every question and end of an outline, by where it stands."""
    waiting = [(path, data)]
    while waiting:
        path, data = waiting.pop()
        yield path, data
        for sign, ways in data.items() if isinstance(data, dict) else ():
            waiting += [((*path, sign, way), to) for way, to in items_of(ways)]


def _cut(document: Document, cut: Cut) -> Document:
    if not (cut.drop or cut.lift or cut.put):
        return document
    origins: dict[Path, Path] = {}
    data = _kept(document.data, (), (), cut, origins)
    return replace(
        document,
        data=data,
        keys=_moved(document.keys, origins),
        values=_moved(document.values, origins),
    )


def _moved(spans: Mapping[Path, Any], origins: Mapping[Path, Path]) -> dict[Path, Any]:
    return {new: spans[old] for new, old in origins.items() if old in spans}


def _kept(data: Any, old: Path, new: Path, cut: Cut, origins: dict[Path, Path]) -> Any:
    """Copy what stays; `origins` learns where each value stood before."""
    while old in cut.lift:
        steps = cut.lift[old][len(old) :]
        for step in steps:
            data = data[step]
        old = cut.lift[old]
    origins[new] = old
    if old in cut.put:
        return cut.put[old]
    stays = [(key, it) for key, it in items_of(data) if (*old, key) not in cut.drop]
    if isinstance(data, dict):
        return {key: _kept(it, (*old, key), (*new, key), cut, origins) for key, it in stays}
    if isinstance(data, list):
        return [
            _kept(it, (*old, key), (*new, number), cut, origins)
            for number, (key, it) in enumerate(stays)
        ]
    return data


def relaxed(document: Document, problems: Iterable[Problem]) -> Iterator[Problem]:
    """What a schema says of a draft: only what every record must have is an error."""
    needed = tuple(f"'{key}' is missing" for key in MUST[document.kind])
    for problem in problems:
        wanted = problem.code == "missing-key" and problem.message not in needed
        yield replace(problem, level=WARNING) if wanted else problem


def softened(
    published: Iterable[Problem], whole: Iterable[Problem], drafts: Collection[str]
) -> Iterator[Problem]:
    """The problems of what is published, then those of drafts as warnings.

    What is wrong only because a draft stays away is a warning: finishing it mends that.
    """
    whole = tuple(whole)
    stays = {(it.file, it.line, it.code) for it in whole}
    for it in published:
        mends = (it.file, it.line, it.code) not in stays
        yield softer(it) if mends else it
    yield from (softer(it) for it in whole if it.file in drafts)


def softer(problem: Problem) -> Problem:
    """What would be an error, as a warning."""
    return replace(problem, level=WARNING) if problem.level == ERROR else problem
