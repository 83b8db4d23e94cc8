"""A spreadsheet of causes by answers, as an office program saves it: bytes in, a `Grid` or
every fault by its row and column out; and a grid back to text.

    row 1             , How does the bulb feel?,      , What is on it?
    row 2        cause, firm                   , soft , grey fur      , none of these
    from row 3   rot  ,                        , always, usually      ,
    anywhere     normal, x                     ,       ,              , x

A question stands over its first answer. Before the answers there may be columns with no
question above them: see ABOUT. Ids are made of the words, unless one stands in brackets
after them: `soft [soft]`. The row `normal` marks the answer that a healthy plant shows.
"""

import csv
import io
import re
import unicodedata
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain, count

from bedside.model.records import FREQUENCIES, KINDS, Plant
from bedside.problems import Location, Problem, did_you_mean, problem_at
from bedside.read.plain_text import HIDDEN

# What a row may say of its cause before the answers, and the words that are known for it.
ABOUT: Mapping[str, tuple[str, ...]] = {
    "common": ("very-common", "common", "uncommon", "rare"),
    "kind": KINDS[:-1],
    "in short": (),
    "first step": (),
}
NONE = "none of these"
NORMAL, MARK = "normal", "x"  # the row of a healthy plant, and what marks its answers
NONE_MARK = "none:"  # before the words of a "none of these" that is worded otherwise
TAKEN = ("result", "key", "otherwise")  # pages and words that are no name of a record
FEWEST_ANSWERS, MOST_ANSWERS = 2, 5
LONGEST = {"question": 240, "answer": 80, "cause": 240}
LONGEST_ID = {"sign": 40, "answer": 12, "cause": 40}
HEAD_ROWS = 2
_MARKS = {b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16"}
_BETWEEN = ",;\t"
_WITH_ID = re.compile(r"(?P<words>.*\S)\s*\[(?P<id>[a-z][a-z0-9]*(?:-[a-z0-9]+)*)\]")
_SPELLED = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss", "æ": "ae", "ø": "o"})
# Left out of ids that are made of a question or an answer.
_SMALL_WORDS = frozenset((
    "a", "an", "and", "any", "are", "at", "be", "by", "can", "do", "does", "has", "have",
    "how", "i", "in", "is", "it", "its", "of", "on", "or", "see", "that", "the", "there",
    "they", "this", "to", "was", "what", "where", "which", "with", "you", "your",
))  # fmt: skip
SAVE_AS = (
    "in the office program choose 'Save as', and there 'CSV UTF-8' or, where it asks for "
    "the character set, 'Unicode (UTF-8)'"
)
LAYOUT = (
    "row 1 holds the questions, row 2 their answers, and from row 3 on each row is a "
    "cause: its name in column A, then always, usually, sometimes, rarely, never or nothing"
)


@dataclass(frozen=True, kw_only=True, slots=True)
class GridSign:
    """A question and its answers by id. `none` is "none of these", the last of them, and
    `normal` the answer of a healthy plant, by their ids."""

    id: str
    question: str
    answers: Mapping[str, str]
    none: str = ""
    normal: str = ""


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


@dataclass(kw_only=True, slots=True)
class _Sheet:
    """The cells as the office program shows them, and what is wrong with them."""

    file: str
    cells: list[list[str]]
    problems: list[Problem] = field(default_factory=list)

    def at(self, row: int, column: int) -> str:
        cells = self.cells[row] if row < len(self.cells) else []
        return cells[column] if column < len(cells) else ""

    def fault(self, row: int, column: int, message: str, hint: str) -> None:
        """Note a fault of a cell, named as an office program shows it."""
        place = Location(file=self.file, line=row + 1, column=column + 1)
        named = f"row {row + 1}, column {letters(column)}: {message}"
        self.problems.append(problem_at(place, "grid-cell", named, hint))

    @property
    def width(self) -> int:
        return max(map(len, self.cells), default=0)


def letters(column: int) -> str:
    """The name of a column, counted from 0: A to Z, then AA."""
    more, last = divmod(column, 26)
    return (letters(more - 1) if more else "") + chr(ord("A") + last)


def read_grid(
    file: str, content: bytes, taken: Collection[str] = (), prefix: str = ""
) -> tuple[Grid | None, tuple[Problem, ...]]:
    """Read a saved sheet. A cause whose id is taken by another plant gets the prefix."""
    sheet = _Sheet(file=file, cells=[])
    text = _decoded(sheet, content)
    if text is not None:
        _fill(sheet, text)
    if not sheet.problems:
        _find_hidden(sheet)
    if sheet.problems:
        return None, tuple(sheet.problems)
    grid = _grid(sheet, _Ids(sheet=sheet, taken={*taken}, prefix=prefix))
    return (None if sheet.problems else grid), tuple(sheet.problems)


def _decoded(sheet: _Sheet, content: bytes) -> str | None:
    if content.startswith(b"PK"):
        message = "this is the sheet of an office program itself, and a CSV is needed"
        sheet.problems.append(_whole(sheet, message, SAVE_AS))
        return None
    try:
        return content.decode(_MARKS.get(content[:2], "utf-8-sig"))
    except UnicodeDecodeError as error:
        before = content[: error.start].decode("latin-1")
        row = before.count("\n")
        message = f"a letter in line {row + 1} is not stored as UTF-8"
        sheet.problems.append(_whole(sheet, message, SAVE_AS, row))
        return None


def _whole(sheet: _Sheet, message: str, hint: str, row: int = 0) -> Problem:
    place = Location(file=sheet.file, line=row + 1)
    return problem_at(place, "not-a-grid", message, hint)


def _fill(sheet: _Sheet, text: str) -> None:
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    said = re.match(r'"?sep=(.)"?[^\n]*\n', lines, re.IGNORECASE)
    if said:
        lines = lines[said.end() :]
    if not lines.strip():
        sheet.problems.append(_whole(sheet, "there is no grid of causes in here", LAYOUT))
        return
    between = said[1] if said else _BETWEEN
    tables = [table for it in between if (table := _table(lines, it))]
    if not tables:
        hint = "a quote is opened and not closed; save the sheet again as CSV"
        sheet.problems.append(_whole(sheet, "this cannot be read as CSV", hint))
        return
    # An office program gives every row the same number of cells.
    sheet.cells = max(tables, key=lambda it: (_is_even(it), max(map(len, it))))
    if sheet.width == 1 or sum(map(any, sheet.cells)) <= HEAD_ROWS:
        sheet.problems.append(_whole(sheet, "there is no grid of causes in here", LAYOUT))


def _table(text: str, between: str) -> list[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=between, strict=True)
    try:
        return [[" ".join(cell.split()) for cell in row] for row in reader]
    except csv.Error:
        return []


def _is_even(table: Sequence[Sequence[str]]) -> bool:
    widths = {len(row) for row in table if row}
    return len(widths) == 1 and widths != {1}


def _find_hidden(sheet: _Sheet) -> None:
    for row, cells in enumerate(sheet.cells):
        for column, cell in enumerate(cells):
            found = HIDDEN.search(cell)
            if found:
                message = f"a character that does not show (U+{ord(found[0]):04X})"
                sheet.fault(row, column, message, "delete the cell and type it again")


def _grid(sheet: _Sheet, cause_ids: "_Ids") -> Grid:
    first = next((it for it in range(1, sheet.width) if sheet.at(0, it)), sheet.width)
    about = _about(sheet, first)
    groups = _groups(sheet, first)
    signs = _signs(sheet, groups, _Ids(sheet=sheet, taken={*TAKEN}))
    causes = _causes(sheet, about, signs, cause_ids)
    _find_gaps(sheet, signs, causes)
    signs = _with_normal(sheet, signs)
    return Grid(
        signs=tuple(sign for sign, _ in signs), causes=tuple(cause for _, cause in causes)
    )


def _about(sheet: _Sheet, first: int) -> dict[int, str]:
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


def _groups(sheet: _Sheet, first: int) -> list[list[int]]:
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

    sheet: _Sheet
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
    spelled = unicodedata.normalize("NFKD", words.lower().translate(_SPELLED))
    plain = re.findall(r"[a-z0-9]+", re.sub(r"['’]|[^\x00-\x7f]", "", spelled))
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


def _signs(sheet: _Sheet, groups: Sequence[Sequence[int]], ids: _Ids) -> Placed:
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


def _asked_over(sheet: _Sheet, column: int) -> str:
    return next(it for at in range(column, -1, -1) if (it := sheet.at(0, at)))


def _is_none(cell: str) -> bool:
    return _split(cell)[0].lower() == NONE or cell.lower().startswith(NONE_MARK)


def _bare(cell: str) -> str:
    return cell[len(NONE_MARK) :].strip() if cell.lower().startswith(NONE_MARK) else cell


def _find_odd(
    sheet: _Sheet, question: str, columns: Sequence[int], none: Sequence[int]
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


def _is_normal(sheet: _Sheet, row: int) -> bool:
    return sheet.at(row, 0).lower() == NORMAL


def _with_normal(sheet: _Sheet, signs: Placed) -> Placed:
    """The signs, each with the answer that the row of a healthy plant marks."""
    rows = [at for at in range(HEAD_ROWS, len(sheet.cells)) if _is_normal(sheet, at)]
    for row in rows[1:]:
        message = f"row {rows[0] + 1} is about '{NORMAL}' too"
        sheet.fault(row, 0, message, "make one row of both")
    return [(_marked(sheet, sign, columns, rows), columns) for sign, columns in signs]


def _marked(
    sheet: _Sheet, sign: GridSign, columns: Mapping[str, int], rows: Sequence[int]
) -> GridSign:
    row = rows[0] if rows else len(sheet.cells)
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
    return replace(sign, normal=marked[0]) if marked else sign


Rows = list[tuple[int, GridCause]]


def _causes(sheet: _Sheet, about: Mapping[int, str], signs: Placed, ids: _Ids) -> Rows:
    rows = [
        at
        for at in range(HEAD_ROWS, len(sheet.cells))
        if any(sheet.cells[at]) and not _is_normal(sheet, at)
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


def _find_odd_name(sheet: _Sheet, row: int, name: str, seen: dict[str, int]) -> None:
    if not name:
        hint = "write its name into column A, or empty the row"
        sheet.fault(row, 0, "this cause has no name", hint)
    elif name.lower() in seen:
        message = f"row {seen[name.lower()] + 1} is about '{name}' too"
        sheet.fault(row, 0, message, "make one row of both")
    elif len(name) > LONGEST["cause"]:
        sheet.fault(row, 0, "this name is too long", "name it in a few words")
    seen.setdefault(name.lower(), row)


def _told(sheet: _Sheet, row: int, column: int, what: str) -> str:
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


def _word(sheet: _Sheet, row: int, column: int) -> str:
    said = sheet.at(row, column)
    word = said.lower()
    if said and word not in FREQUENCIES:
        five = f"write one of {', '.join(FREQUENCIES)}, or nothing"
        near = did_you_mean(word, FREQUENCIES)
        hint = f"{near} Else {five}" if near else five
        sheet.fault(row, column, f"'{said}' does not say how often", hint)
    return word


def _find_gaps(sheet: _Sheet, signs: Placed, causes: Rows) -> None:
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


def grid_of(plant: Plant) -> Grid:
    """What a plant's records say, as a grid; what is on no list has no row."""
    signs = tuple(
        GridSign(
            id=sign.id,
            question=sign.question,
            answers={it.id: it.says for it in sign.all_answers},
            none=sign.none.id if sign.none else "",
            normal=sign.normal,
        )
        for sign in plant.signs.values()
    )
    order = [answer for sign in signs for answer in sign.answers]
    causes = []
    for cause in plant.causes.values():
        said = {it: word for words in cause.evidence.values() for it, word in words.items()}
        step = plant.first_steps[cause.first_step]
        about = {"common": cause.common, "kind": cause.kind, "in short": cause.in_short,
                 "first step": step.do}  # fmt: skip
        words = {it: said[it] for it in order if it in said}
        if cause.kind != "unlisted":
            causes.append(GridCause(id=cause.id, name=cause.name, about=about, words=words))
    return Grid(signs=signs, causes=tuple(causes))


def written(grid: Grid, between: str = ",") -> str:
    """A grid as the text of a CSV file, with ids where the words do not make them."""
    plain = _saved(_rows(grid, with_ids=False), between)
    again, _ = read_grid("", plain.encode())
    return plain if again == grid else _saved(_rows(grid, with_ids=True), between)


def _saved(rows: Iterable[Sequence[str]], between: str) -> str:
    # All is quoted, so that no other sign can be taken for the one between the cells.
    text = io.StringIO()
    writer = csv.writer(text, delimiter=between, quoting=csv.QUOTE_ALL, lineterminator="\n")
    writer.writerows(rows)
    return text.getvalue()


def _rows(grid: Grid, *, with_ids: bool) -> Iterator[list[str]]:
    about = [it for it in ABOUT if any(it in cause.about for cause in grid.causes)]
    before = [""] * len(about)
    answers = [it for sign in grid.signs for it in sign.answers]
    questions: list[str] = []
    says: list[str] = []
    for sign in grid.signs:
        questions += [_named(sign.question, sign.id, with_ids)]
        questions += [""] * (len(sign.answers) - 1)
        for answer, said in sign.answers.items():
            mark = f"{NONE_MARK} " if answer == sign.none and said.lower() != NONE else ""
            says.append(mark + _named(said, answer, with_ids))
    yield ["", *before, *questions]
    yield ["cause", *about, *says]
    yield from _normal_row(grid, before)
    for cause in grid.causes:
        told = [cause.about.get(it, "") for it in about]
        words = [cause.words.get(it, "") for it in answers]
        yield [_named(cause.name, cause.id, with_ids), *told, *words]


def _normal_row(grid: Grid, before: Sequence[str]) -> Iterator[list[str]]:
    if any(sign.normal for sign in grid.signs):
        marks = [
            MARK if answer == sign.normal else ""
            for sign in grid.signs
            for answer in sign.answers
        ]
        yield [NORMAL, *before, *marks]


def _named(words: str, name: str, with_id: bool) -> str:
    return f"{words} [{name}]" if with_id else words
