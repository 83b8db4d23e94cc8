"""A spreadsheet of causes by answers, as an office program saves it: bytes in, a `Grid` or
every fault by its row and column out. `commands/grid.py` writes one.

    row 1             , How does the bulb feel?,      , What is on it?
    row 2        cause, firm                   , soft , grey fur      , none of these
    from row 3   rot  ,                        , always, usually      ,
    anywhere     normal, x                     ,       ,              , x
    anywhere     words , hard, solid           , mushy , fuzz, moldy  ,

A question stands over its first answer. Before the answers there may be columns with no
question above them: see ABOUT. Ids are made of the words, unless one stands in brackets
after them: `soft [soft]`. The row `normal` marks the answer that a healthy plant shows;
the row `words` holds what people write for an answer, phrase by phrase.
"""

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain, count

from bedside.model.records import FREQUENCIES, KINDS
from bedside.problems import Problem, did_you_mean
from bedside.read.plain_text import plain_words
from bedside.read.saved_sheet import Sheet, cells_of, letters

# What a row may say of its cause before the answers, and the words that are known for it.
ABOUT: Mapping[str, tuple[str, ...]] = {
    "common": ("very-common", "common", "uncommon", "rare"),
    "kind": KINDS[:-1],
    "in short": (),
    "first step": (),
}
NONE = "none of these"
NORMAL, MARK = "normal", "x"  # the row of a healthy plant, and what marks its answers
HEARD = "words"  # the row of what people write for each answer
NONE_MARK = "none:"  # before the words of a "none of these" that is worded otherwise
TAKEN = ("result", "key", "otherwise")  # pages and words that are no name of a record
FEWEST_ANSWERS, MOST_ANSWERS = 2, 5
LONGEST = {"question": 240, "answer": 80, "cause": 240, "phrase": 240}
LONGEST_ID = {"sign": 40, "answer": 12, "cause": 40}
HEAD_ROWS = 2
_WITH_ID = re.compile(r"(?P<words>.*\S)\s*\[(?P<id>[a-z][a-z0-9]*(?:-[a-z0-9]+)*)\]")
# Left out of ids that are made of a question or an answer.
_SMALL_WORDS = frozenset((
    "a", "an", "and", "any", "are", "at", "be", "by", "can", "do", "does", "has", "have",
    "how", "i", "in", "is", "it", "its", "of", "on", "or", "see", "that", "the", "there",
    "they", "this", "to", "was", "what", "where", "which", "with", "you", "your",
))  # fmt: skip
LAYOUT = (
    "row 1 holds the questions, row 2 their answers, and from row 3 on each row is a "
    "cause: its name in column A, then always, usually, sometimes, rarely, never or nothing"
)


@dataclass(frozen=True, kw_only=True, slots=True)
class GridSign:
    """A question and its answers by id. `none` is "none of these", the last of them, and
    `normal` the answer of a healthy plant, by their ids; `heard` has the phrases by which
    letters tell an answer."""

    id: str
    question: str
    answers: Mapping[str, str]
    none: str = ""
    normal: str = ""
    heard: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True, slots=True)
class GridCause:
    """A row: what it says of the cause, and its word for each answer that has one."""

    id: str
    name: str
    about: Mapping[str, str]
    words: Mapping[str, str]


@dataclass(frozen=True, kw_only=True, slots=True)
class Grid:
    signs: tuple[GridSign, ...]
    causes: tuple[GridCause, ...]


def read_grid(
    file: str, content: bytes, taken: Collection[str] = (), prefix: str = ""
) -> tuple[Grid | None, tuple[Problem, ...]]:
    """Read a saved sheet. A cause whose id is taken by another plant gets the prefix."""
    sheet = cells_of(file, content)
    filled_rows = sum(map(any, sheet.cells))
    if not sheet.problems and (sheet.width < 2 or filled_rows <= HEAD_ROWS):
        sheet.refuse("there is no grid of causes in here", LAYOUT)
    if sheet.problems:
        return None, tuple(sheet.problems)
    grid = _grid(sheet, _Ids(sheet=sheet, taken={*taken}, prefix=prefix))
    return (None if sheet.problems else grid), tuple(sheet.problems)


def _grid(sheet: Sheet, cause_ids: "_Ids") -> Grid:
    first = next((it for it in range(1, sheet.width) if sheet.at(0, it)), sheet.width)
    about = _about(sheet, first)
    groups = _groups(sheet, first)
    signs = _signs(sheet, groups, _Ids(sheet=sheet, taken={*TAKEN}))
    causes = _causes(sheet, about, signs, cause_ids)
    _find_gaps(sheet, signs, causes)
    signs = _with_rows_of_answers(sheet, signs)
    return Grid(
        signs=tuple(sign for sign, _ in signs), causes=tuple(cause for _, cause in causes)
    )


def _about(sheet: Sheet, first: int) -> dict[int, str]:
    """The columns before the answers, and what each says."""
    found: dict[int, str] = {}
    for column in range(1, first):
        said = sheet.at(1, column).lower()
        if said in ABOUT and said not in found.values():
            found[column] = said
        elif any(sheet.at(row, column) for row in range(1, len(sheet.cells))):
            message = f"no question stands above '{sheet.at(1, column)}'"
            hint = f"write it into row 1; without one stands only {', '.join(ABOUT)}, once"
            sheet.fault(0, column, message, hint)
    return found


def _groups(sheet: Sheet, first: int) -> list[list[int]]:
    """The columns of each question: those that stand below it, and to the right."""
    groups: list[list[int]] = []
    asked: dict[str, int] = {}
    last = ""
    for column in range(first, sheet.width):
        question = sheet.at(0, column)
        if question and question != last:
            if question in asked:
                message = f"this question stands over column {letters(asked[question])} too"
                sheet.fault(0, column, message, "put its answers side by side")
            asked[question], last = column, question
            groups.append([])
        if sheet.at(1, column):
            groups[-1].append(column)
        elif any(sheet.at(row, column) for row in range(1, len(sheet.cells))):
            sheet.fault(1, column, "no answer stands here", "say in row 2 what is seen")
    return groups


@dataclass(kw_only=True, slots=True)
class _Ids:
    """Gives each name its id: the one in brackets, or one made of its words."""

    sheet: Sheet
    taken: set[str]
    prefix: str = ""

    def named(
        self, what: str, cells: Iterable[tuple[int, int, str]]
    ) -> list[tuple[str, str]]:
        """The id and the words of each cell."""
        found = [(row, column, *_split(cell)) for row, column, cell in cells]
        for row, column, _, written in found:
            if written:
                self._take(what, row, column, written)
        return [
            (written or self._made(what, words), words) for _, _, words, written in found
        ]

    def _take(self, what: str, row: int, column: int, name: str) -> None:
        if len(name) > LONGEST_ID[what]:
            message = f"the id '{name}' has more than {LONGEST_ID[what]} characters"
            self.sheet.fault(row, column, message, "shorten it, or take the brackets out")
        elif name in self.taken:
            message = f"the id '{name}' is taken"
            self.sheet.fault(
                row, column, message, "write another, or take the brackets out"
            )
        self.taken.add(name)

    def _made(self, what: str, words: str) -> str:
        most = LONGEST_ID[what]
        name = slug(words, most) or what
        longer = f"{self.prefix}-{name}" if self.prefix else name
        numbered = (f"{longer[: most - len(end)].rstrip('-')}{end}" for end in _ends())
        free = next(it for it in chain([name], numbered) if it not in self.taken)
        self.taken.add(free)
        return free


def _ends() -> Iterator[str]:
    return chain([""], (f"-{number}" for number in count(2)))


def _split(cell: str) -> tuple[str, str]:
    found = _WITH_ID.fullmatch(cell)
    return (found["words"], found["id"]) if found else (cell, "")


def slug(words: str, most: int) -> str:
    """An id of as many whole words as fit; empty where none has plain letters."""
    plain = plain_words(words)
    told = [it for it in plain if it not in _SMALL_WORDS] or plain
    while told and not told[0][0].isalpha():
        told = told[1:]
    name = ""
    for word in told:
        if len(name) + len(word) + 1 > most and name:
            break
        name = f"{name}-{word}" if name else word[:most]
    return name


Placed = list[tuple[GridSign, dict[str, int]]]  # a sign, and the column of each answer


def _signs(sheet: Sheet, groups: Sequence[Sequence[int]], ids: _Ids) -> Placed:
    groups = [columns for columns in groups if columns]
    named = ids.named("sign", [(0, it[0], _asked_over(sheet, it[0])) for it in groups])
    cells = [(1, it, _bare(sheet.at(1, it))) for columns in groups for it in columns]
    answers = iter(ids.named("answer", cells))
    found: Placed = []
    for (sign, question), columns in zip(named, groups, strict=True):
        said = {it: next(answers) for it in columns}
        none = [it for it in columns if _is_none(sheet.at(1, it))]
        _find_odd(sheet, question, columns, none)
        order = [it for it in columns if it not in none[:1]] + none[:1]
        found.append(
            (
                GridSign(
                    id=sign,
                    question=question,
                    answers={said[it][0]: said[it][1] for it in order},
                    none=said[none[0]][0] if none else "",
                ),
                {said[it][0]: it for it in order},
            )
        )
    return found


def _asked_over(sheet: Sheet, column: int) -> str:
    return next(it for at in range(column, -1, -1) if (it := sheet.at(0, at)))


def _is_none(cell: str) -> bool:
    return _split(cell)[0].lower() == NONE or cell.lower().startswith(NONE_MARK)


def _bare(cell: str) -> str:
    return cell[len(NONE_MARK) :].strip() if cell.lower().startswith(NONE_MARK) else cell


def _find_odd(
    sheet: Sheet, question: str, columns: Sequence[int], none: Sequence[int]
) -> None:
    first, listed = columns[0], len(columns) - len(none[:1])
    if not FEWEST_ANSWERS <= listed <= MOST_ANSWERS:
        message = f"'{question}' has {listed} answer{'' if listed == 1 else 's'}"
        hint = f"a question has {FEWEST_ANSWERS} to {MOST_ANSWERS}, beside '{NONE}'"
        sheet.fault(1, first, message, hint)
    if len(question) > LONGEST["question"]:
        sheet.fault(0, first, "this question is too long", "ask one thing in a short line")
    said: dict[str, int] = {}
    for column in columns:
        cell = sheet.at(1, column)
        if cell.lower() in said:
            message = f"'{cell}' stands in column {letters(said[cell.lower()])} too"
            sheet.fault(1, column, message, "make one column of both, or say what differs")
        said[cell.lower()] = column
        if len(_split(_bare(cell))[0]) > LONGEST["answer"]:
            hint = f"at most {LONGEST['answer']} characters"
            sheet.fault(1, column, "this answer is too long", hint)
    for column in none[1:]:
        sheet.fault(1, column, "a second 'none of these'", "keep one of them")


def _is_of_answers(sheet: Sheet, row: int) -> bool:
    return sheet.at(row, 0).lower() in (NORMAL, HEARD)


def _with_rows_of_answers(sheet: Sheet, signs: Placed) -> Placed:
    """The signs, each with what the rows say that are about answers and no cause."""
    normal, heard = _row_called(sheet, NORMAL), _row_called(sheet, HEARD)
    return [
        (
            replace(
                sign,
                normal=_marked(sheet, sign, columns, normal),
                heard=_heard(sheet, columns, heard),
            ),
            columns,
        )
        for sign, columns in signs
    ]


def _row_called(sheet: Sheet, name: str) -> int:
    """The row of that name; where there is none, the row below all."""
    end = len(sheet.cells)
    rows = [at for at in range(HEAD_ROWS, end) if sheet.at(at, 0).lower() == name]
    for row in rows[1:]:
        message = f"row {rows[0] + 1} is about '{name}' too"
        sheet.fault(row, 0, message, "make one row of both")
    return rows[0] if rows else end


def _marked(sheet: Sheet, sign: GridSign, columns: Mapping[str, int], row: int) -> str:
    """The answer of a healthy plant; empty where none is marked."""
    marked = [it for it, at in columns.items() if sheet.at(row, at)]
    for answer in marked:
        at = columns[answer]
        if sheet.at(row, at).lower() != MARK:
            message = f"'{sheet.at(row, at)}' stands in the row '{NORMAL}'"
            hint = f"mark with {MARK} the answers that a healthy plant shows"
            sheet.fault(row, at, message, hint)
        elif answer != marked[0]:
            first = letters(columns[marked[0]])
            message = f"column {first} is marked for '{sign.question}' too"
            sheet.fault(row, at, message, "a healthy plant shows one of them: keep one")
    return marked[0] if marked else ""


def _heard(
    sheet: Sheet, columns: Mapping[str, int], row: int
) -> dict[str, tuple[str, ...]]:
    heard = {it: phrases_in(sheet.at(row, at)) for it, at in columns.items()}
    for answer, phrases in heard.items():
        if any(len(it) > LONGEST["phrase"] for it in phrases):
            hint = "put a comma between what different people write"
            sheet.fault(row, columns[answer], "a phrase here is too long", hint)
    return {answer: phrases for answer, phrases in heard.items() if phrases}


def phrases_in(cell: str) -> tuple[str, ...]:
    """The phrases of a cell: between semicolons if it has any, else between commas."""
    found = cell.split(";" if ";" in cell else ",")
    return tuple(it for phrase in found if (it := phrase.strip()))


def cell_of(phrases: Sequence[str]) -> str:
    """The cell that holds these phrases; none has a semicolon."""
    if any("," in it for it in phrases):
        return "".join(f"{it}; " for it in phrases).rstrip()
    return ", ".join(phrases)


Rows = list[tuple[int, GridCause]]


def _causes(sheet: Sheet, about: Mapping[int, str], signs: Placed, ids: _Ids) -> Rows:
    rows = [
        at
        for at in range(HEAD_ROWS, len(sheet.cells))
        if any(sheet.cells[at]) and not _is_of_answers(sheet, at)
    ]
    named = ids.named("cause", [(row, 0, sheet.at(row, 0)) for row in rows])
    found: Rows = []
    seen: dict[str, int] = {}
    for row, (cause, name) in zip(rows, named, strict=True):
        _find_odd_name(sheet, row, name, seen)
        told = {what: _told(sheet, row, at, what) for at, what in about.items()}
        said = {what: it for what, it in told.items() if it}
        words = {
            answer: word
            for _, columns in signs
            for answer, at in columns.items()
            if (word := _word(sheet, row, at))
        }
        found.append((row, GridCause(id=cause, name=name, about=said, words=words)))
    return found


def _find_odd_name(sheet: Sheet, row: int, name: str, seen: dict[str, int]) -> None:
    if not name:
        hint = "write its name into column A, or empty the row"
        sheet.fault(row, 0, "this cause has no name", hint)
    elif name.lower() in seen:
        message = f"row {seen[name.lower()] + 1} is about '{name}' too"
        sheet.fault(row, 0, message, "make one row of both")
    elif len(name) > LONGEST["cause"]:
        sheet.fault(row, 0, "this name is too long", "name it in a few words")
    seen.setdefault(name.lower(), row)


def _told(sheet: Sheet, row: int, column: int, what: str) -> str:
    said, known = sheet.at(row, column), ABOUT[what]
    if known and said:
        said = said.lower().replace(" ", "-")
        if said not in known:
            hint = (
                did_you_mean(said, known) or f"write one of {', '.join(known)}, or nothing"
            )
            sheet.fault(row, column, f"'{sheet.at(row, column)}' is not known here", hint)
    elif len(said) > LONGEST["cause"]:
        hint = f"at most {LONGEST['cause']} characters"
        sheet.fault(row, column, "this text is too long", hint)
    return said


def _word(sheet: Sheet, row: int, column: int) -> str:
    said = sheet.at(row, column)
    word = said.lower()
    if said and word not in FREQUENCIES:
        five = f"write one of {', '.join(FREQUENCIES)}, or nothing"
        near = did_you_mean(word, FREQUENCIES)
        hint = f"{near} Else {five}" if near else five
        sheet.fault(row, column, f"'{said}' does not say how often", hint)
    return word


def _find_gaps(sheet: Sheet, signs: Placed, causes: Rows) -> None:
    """What would leave a cause or a question that nothing can be told by."""
    first_row: dict[frozenset[tuple[str, str]], int] = {}
    for row, cause in causes:
        same = first_row.setdefault(frozenset(cause.words.items()), row)
        if not cause.words:
            hint = "say how often some answers are seen with it, or empty the row; what is "
            hint += "on no list gets a record of its own"
            sheet.fault(row, 0, f"'{cause.name}' has no word in any column", hint)
        elif same != row:
            message = f"row {same + 1} says the same in every column"
            hint = (
                "no question could tell them apart: add one that does, or make them one row"
            )
            sheet.fault(row, 0, message, hint)
        for _, columns in signs:
            always = [at for it, at in columns.items() if cause.words.get(it) == "always"]
            for at in always[1:]:
                message = f"'always' stands in column {letters(always[0])} too"
                hint = "answers to one question exclude each other: say 'usually' in both"
                sheet.fault(row, at, message, hint)
    for sign, columns in signs:
        if not any(it in cause.words for it in columns for _, cause in causes):
            at = min(columns.values())
            hint = "say how often its answers are seen, or empty its columns"
            sheet.fault(0, at, f"no cause has a word for '{sign.question}'", hint)
