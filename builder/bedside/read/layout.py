"""Which file of the knowledge folder holds which kind of record: said once, in RULES."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from bedside.model.library import Document
from bedside.problems import NOTE, Location, Problem, did_you_mean, problem_at


@dataclass(frozen=True, kw_only=True, slots=True)
class Rule:
    """Which files are of one kind. `<plant>` is the folder of any plant, `*` any name."""

    pattern: str
    kind: str = ""  # empty: the file is known, and is not read here
    needed: bool = False
    ships: bool = False  # a folder without it takes the one that comes with the package


RULES = (
    Rule(pattern="nursery.yaml", kind="nursery", needed=True),
    Rule(pattern="sources.yaml", kind="sources", needed=True),
    Rule(pattern="zones.yaml", kind="zones", ships=True),
    Rule(pattern="emergencies.yaml", kind="emergencies", needed=True),
    Rule(pattern="extension.csv", kind="services", needed=True),
    Rule(pattern="addresses.yaml", kind="addresses"),
    Rule(pattern="controls/*.yaml", kind="control"),
    Rule(pattern="topics/*.yaml", kind="topic"),
    Rule(pattern="words/*.yaml", kind="words", ships=True),
    Rule(pattern="season/*.yaml", kind="season"),
    Rule(pattern="<plant>/plant.yaml", kind="plant", needed=True),
    Rule(pattern="<plant>/first_steps.yaml", kind="first_steps", needed=True),
    Rule(pattern="<plant>/tree.yaml", kind="tree"),
    Rule(pattern="<plant>/asked.yaml", kind="asked"),
    Rule(pattern="<plant>/year.yaml", kind="year"),
    Rule(pattern="<plant>/insects.yaml", kind="insects"),
    Rule(pattern="<plant>/sources.yaml", kind="sources"),
    Rule(pattern="<plant>/controls/*.yaml", kind="control"),
    Rule(pattern="<plant>/control_lines.yaml", kind="control_lines"),
    Rule(pattern="<plant>/topics/*.yaml", kind="topic"),
    Rule(pattern="<plant>/signs/*.yaml", kind="sign", needed=True),
    Rule(pattern="<plant>/causes/*.yaml", kind="cause", needed=True),
    Rule(pattern="<plant>/cases/*.yaml", kind="cases"),
    Rule(pattern="<plant>/handout.yaml", kind="handout"),
    Rule(pattern="<plant>/drawings/*.svg", kind="drawing"),
    *(Rule(pattern=f"<plant>/photos/*.{kind}") for kind in ("jpg", "jpeg", "png", "webp")),
    # What letters taught, what only the tests can measure, how well letters were read.
    *(Rule(pattern=f"<plant>/{it}.json") for it in ("trained", "measured", "letters_read")),
    Rule(pattern="season/*.csv"),
    Rule(pattern="words/*.csv"),
    Rule(pattern="words/*.txt"),
    Rule(pattern="schema/*.json"),
    Rule(pattern="README.md"),
    Rule(pattern="*/README.md"),
    Rule(pattern="<plant>/*/README.md"),
)
STRAYS_NAMED = 4  # files that one note names
# The shape of a whole folder (`format` in nursery.yaml), and what each one changed:
# a folder of another is read by nobody, and its grower is told how to mend it.
FORMATS = {1: "the first one; write `format: 1` into nursery.yaml"}
FORMAT = max(FORMATS)
# Kinds without which no page of any plant can be made.
NEEDED_ONCE = tuple(
    rule.kind for rule in RULES if rule.kind and "/" not in rule.pattern
    and (rule.needed or rule.ships)
)  # fmt: skip
SHIPPED_RECORDS = tuple(rule.pattern for rule in RULES if rule.ships)
SHARED_FOLDERS = ("controls", "topics", "words", "season", "schema")
PLANT_FOLDERS = (
    "signs", "causes", "controls", "topics", "cases", "drawings", "photos",
)  # fmt: skip
# Any of these makes a folder the folder of a plant.
PLANT_MARKS = ("plant.yaml", "tree.yaml", "first_steps.yaml", "signs", "causes")


def passed_over(files: Sequence[str]) -> Iterator[Problem]:
    """Name what was left lying about, in one note: it stops nothing."""
    if files:
        more = len(files) - STRAYS_NAMED
        named = ", ".join(files[:STRAYS_NAMED]) + (f" and {more} more" if more > 0 else "")
        yield problem_at(
            Location(file=""),
            "passed-over",
            f"left by an editor, an office program or the system, and not read: {named}",
            "nothing to do; delete them if you like",
            level=NOTE,
        )


def folder_is_known(file: str, plants: tuple[str, ...]) -> bool:
    """Tell whether the files of a folder are read."""
    top, _, below = file.partition("/")
    if top in plants:
        return below in ("", *PLANT_FOLDERS)
    return file in SHARED_FOLDERS


def unknown_folder(file: str, plants: tuple[str, ...]) -> Problem:
    """Report a folder that nothing reads."""
    top, _, below = file.partition("/")
    siblings = PLANT_FOLDERS if top in plants else SHARED_FOLDERS
    other = f"here belong {', '.join(siblings)}"
    if top not in plants:
        other += ", and a folder with a plant.yaml for each plant"
    return at_file(
        file,
        "unknown-folder",
        f"nothing here reads a folder called '{below or top}'",
        did_you_mean(below or top, siblings) or other,
    )


def rule_for(file: str, plants: tuple[str, ...]) -> Rule | None:
    """Find the rule of a file, named by its path below the knowledge folder."""
    parts = file.split("/")
    for rule in RULES:
        wanted = rule.pattern.split("/")
        if len(wanted) == len(parts) and all(
            _part_fits(part, want, plants) for part, want in zip(parts, wanted, strict=True)
        ):
            return rule
    return None


def _part_fits(part: str, want: str, plants: tuple[str, ...]) -> bool:
    if want == "<plant>":
        return part in plants
    if want.startswith("*"):
        return part.endswith(want[1:]) and len(part) > len(want) - 1
    return part == want


def unread(file: str, plants: tuple[str, ...]) -> Document | None:
    """What the name of a file alone says, where nothing in it could be read."""
    rule = rule_for(file, plants)
    if rule is None or not rule.kind:
        return None
    top, stem = file.partition("/")[0], file.rpartition("/")[2].rpartition(".")[0]
    plant = top if top in plants else ""
    return Document(kind=rule.kind, file=file, id=stem, plant=plant, data={})


def unknown_file(file: str, plants: tuple[str, ...]) -> Problem:
    """Report a file that nothing reads."""
    folder, _, name = file.rpartition("/")
    if name.endswith(".yml"):
        hint = "let the name end in .yaml"
    else:
        known = _names_in(folder, plants)
        hint = did_you_mean(name, known) or "move it elsewhere or rename it"
    return at_file(file, "unknown-file", f"nothing here reads a file called '{name}'", hint)


def _names_in(folder: str, plants: tuple[str, ...]) -> list[str]:
    place = "<plant>" if folder in plants else folder
    rules = [rule.pattern.rpartition("/") for rule in RULES]
    return [name for where, _, name in rules if where == place and "*" not in name]


def missing(files: set[str], plants: tuple[str, ...]) -> Iterator[Problem]:
    """Report each file that must be there and is not among `files`."""
    if not plants:
        yield at_file(
            "",
            "no-plant",
            "there is no plant",
            "write one: bedside new plant NAME",
        )
    for rule in RULES:
        if rule.needed:
            for plant in plants if "<plant>" in rule.pattern else ("",):
                yield from _missing_file(files, rule.pattern.replace("<plant>", plant))


def _missing_file(files: set[str], pattern: str) -> Iterator[Problem]:
    folder, _, suffix = pattern.partition("*")
    if "*" not in pattern and pattern not in files:
        hint = "write it, or copy one out of: bedside new site FOLDER"
        yield at_file(pattern, "missing-file", "this file is missing", hint)
    elif not any(file.startswith(folder) and file.endswith(suffix) for file in files):
        message = f"there is no record in {folder}"
        yield at_file(pattern, "missing-file", message, "write one")


def at_file(file: str, code: str, message: str, hint: str = "") -> Problem:
    """Report a whole file or folder."""
    return problem_at(Location(file=file), code, message, hint)


def other_format(found: object, place: Location) -> Iterator[Problem]:
    """Report a folder that is written in another format than this package reads."""
    if not isinstance(found, int) or found == FORMAT:
        return
    since = "; ".join(f"format {it}: {FORMATS[it]}" for it in FORMATS if it > found)
    newer = "a later release of bedside reads it: pip install --upgrade bedside"
    yield problem_at(
        place,
        "other-format",
        f"this folder is written in format {found}; this bedside reads format {FORMAT}",
        f"what changed since: {since}" if since else newer,
    )
