"""A spreadsheet in and out: nothing lost, and every fault at its cell."""

import csv
import io
from collections.abc import Sequence

import pytest
from hypothesis import strategies as st

from bedside.model.records import FREQUENCIES
from bedside.read.grid import ABOUT, Grid, read_grid, slug
from bedside.read.saved_sheet import letters

ROWS: tuple[tuple[str, ...], ...] = (
    ("", "", "How does the bulb feel?", "", "", "What is on it?", ""),
    ("cause", "common", "firm", "soft", "none of these", "grey fur", "nothing"),
    ("Rot", "very common", "rarely", "Always", "", "usually", ""),
    ("Drought", "", "usually", "", "sometimes", "", "always"),
)


def saved(rows: Sequence[Sequence[str]] = ROWS, between: str = ",") -> str:
    """The rows as an office program saves them: quotes only where they must be."""
    text = io.StringIO()
    csv.writer(text, delimiter=between).writerows(rows)
    return text.getvalue()


def changed(row: int, column: int, cell: str) -> bytes:
    """The sheet with one other cell."""
    rows = [list(it) for it in ROWS]
    rows[row][column] = cell
    return saved(rows).encode()


def good(content: bytes) -> Grid:
    grid, problems = read_grid("causes.csv", content)
    assert grid is not None, problems
    return grid


def test_what_a_sheet_says() -> None:
    """Questions, answers, causes, and how often each answer is seen."""
    grid = good(saved().encode())
    feel, on = grid.signs
    assert (feel.id, feel.question) == ("bulb-feel", "How does the bulb feel?")
    assert feel.answers == {"firm": "firm", "soft": "soft", "none-these": "none of these"}
    assert (feel.none, on.none) == ("none-these", "")
    rot, drought = grid.causes
    assert (rot.id, rot.name, rot.about) == ("rot", "Rot", {"common": "very-common"})
    assert rot.words == {"firm": "rarely", "soft": "always", "grey-fur": "usually"}
    assert drought.about == {}


@pytest.mark.parametrize("between", [",", ";", "\t"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("ends", ["\r\n", "\n", "\r"])
def test_as_office_programs_save_it(between: str, mark: bytes, ends: str) -> None:
    """Comma, semicolon or tab; with a mark or without; whatever ends a line."""
    text = saved(between=between).replace("\r\n", ends)
    assert good(mark + text.encode()) == good(saved().encode())


def test_a_line_that_names_the_sign_between_cells() -> None:
    """`sep=;` is for the office program, which does not show it: row 1 is the next."""
    text = "sep=|\r\n" + saved(between="|")
    assert good(text.encode()) == good(saved().encode())
    assert good(saved(between="\t").encode("utf-16")) == good(saved().encode())
    wrong = text.replace("rarely", "seldom")
    _, (problem,) = read_grid("causes.csv", wrong.encode())
    assert (problem.line, problem.column) == (3, 3)


def test_cells_that_are_merged_filled_or_empty() -> None:
    """A question may stand over each of its answers; empty rows and columns say nothing."""
    rows = [list(it) for it in ROWS]
    rows[0][3] = rows[0][4] = rows[0][2]
    rows.insert(3, [""] * len(ROWS[0]))
    assert good(saved([[*it, "", ""] for it in rows]).encode()) == good(saved().encode())


def test_ids_are_made_of_words_or_stand_in_brackets() -> None:
    """Umlauts are spelled out, small words left out, twins numbered; brackets decide."""
    assert slug("Wie fühlt sich die Zwiebel an?", 40) == "wie-fuehlt-sich-die-zwiebel"
    assert slug("What is on the leaves?", 40) == "leaves"
    assert slug("extraordinarily", 12) == "extraordinar"
    assert slug("2 spots", 12) == "spots"
    assert slug("球根", 12) == ""
    grid = good(changed(1, 5, "soft [fur]"))
    assert grid.signs[1].answers == {"fur": "soft", "nothing": "nothing"}
    assert list(good(changed(1, 5, "soft")).signs[1].answers) == ["soft-2", "nothing"]
    assert good(changed(1, 5, "[see page 3]")).signs[1].answers["page-3"]
    assert good(changed(2, 0, "球根")).causes[0].id == "cause"


def test_a_cause_that_another_plant_has_takes_the_plant_into_its_id() -> None:
    """The id of a cause is the address of its page."""
    grid, _ = read_grid("causes.csv", saved().encode(), {"rot", "lily-rot"}, "lily")
    assert grid is not None
    assert [it.id for it in grid.causes] == ["lily-rot-2", "drought"]


FAULTS = [
    (2, 2, "mostly", "row 3, column C: 'mostly' does not say how often", "always"),
    (2, 2, "usualy", "row 3, column C: 'usualy'", "did you mean 'usually'?"),
    (2, 1, "often", "row 3, column B: 'often' is not known", "very-common"),
    (2, 0, "", "row 3, column A: this cause has no name", "column A"),
    (3, 0, "rot", "row 4, column A: row 3 is about 'rot' too", "one row"),
    (1, 1, "size", "row 1, column B: no question stands above 'size'", "row 1"),
    (1, 3, "", "row 2, column D: no answer stands here", "row 2"),
    (1, 3, "firm", "row 2, column D: 'firm' stands in column C too", "one column"),
    (1, 6, "none of these", "row 2, column F: 'What is on it?' has 1 answer", "2 to 5"),
    (0, 3, "Is it soft?", "'How does the bulb feel?' has 1 answer", "2 to 5"),
    (2, 2, "always", "row 3, column D: 'always' stands in column C too", "exclude"),
    (1, 2, "firm [otherwise]", "row 2, column C: the id 'otherwise' is taken", "brackets"),
    (1, 2, "firm [far-too-long-an-id]", "more than 12 characters", "shorten"),
    (1, 2, "x" * 81, "row 2, column C: this answer is too long", "80"),
    (2, 0, "Ro\u200bt", "row 3, column A: a character that does not show", "again"),
]


@pytest.mark.parametrize(("row", "column", "cell", "says", "do"), FAULTS)
def test_a_fault_is_named_by_its_cell(
    row: int, column: int, cell: str, says: str, do: str
) -> None:
    """Row and column as the office program shows them, and what to do."""
    _, problems = read_grid("causes.csv", changed(row, column, cell))
    assert any(says in it.message and do in it.hint for it in problems)
    assert all(it.hint and it.file == "causes.csv" for it in problems)


def test_the_row_of_a_healthy_plant() -> None:
    """It marks one answer of a question, and is no cause; anything else is a fault."""
    rows = [*ROWS, ("Normal", "", "x", "", "", "", "X")]
    grid = good(saved(rows).encode())
    assert [it.normal for it in grid.signs] == ["firm", "nothing"]
    assert [it.name for it in grid.causes] == ["Rot", "Drought"]
    rows += [("normal", *[""] * 6), ("", *[""] * 6)]
    rows[4] = ("normal", "", "x", "x", "usually", "", "")
    _, problems = read_grid("causes.csv", saved(rows).encode())
    assert [it.message for it in problems] == [
        "row 6, column A: row 5 is about 'normal' too",
        "row 5, column D: column C is marked for 'How does the bulb feel?' too",
        "row 5, column E: 'usually' stands in the row 'normal'",
    ]


def test_the_row_of_what_people_write() -> None:
    """Phrases stand between commas, or between semicolons where one has a comma."""
    said = ("words", "", "hard, not soft,,", "", "All fine; nothing, really;", "fuzz", "")
    grid = good(saved([*ROWS, said]).encode())
    feel, on = grid.signs
    assert feel.heard == {
        "firm": ("hard", "not soft"),
        "none-these": ("All fine", "nothing, really"),
    }
    assert on.heard == {"grey-fur": ("fuzz",)}
    assert [it.name for it in grid.causes] == ["Rot", "Drought"]
    rows = [*ROWS, ("Words", "", "x" * 241, *[""] * 4), said]
    _, problems = read_grid("causes.csv", saved(rows).encode())
    assert [it.message for it in problems] == [
        "row 6, column A: row 5 is about 'words' too",
        "row 5, column C: a phrase here is too long",
    ]


def test_a_question_stands_in_one_place() -> None:
    """Its answers stand side by side, or it is taken for two."""
    rows = [[*it, ""] for it in ROWS]
    rows[0][7], rows[1][7] = ROWS[0][2], "dry"
    _, problems = read_grid("causes.csv", saved(rows).encode())
    assert "row 1, column H: this question stands over column C too" in problems[0].message


def test_what_tells_nothing_is_a_fault() -> None:
    """Causes and questions without a word, and two causes that look alike in all."""
    rows = [list(it) for it in ROWS]
    rows[2][5] = rows[3][6] = ""
    _, problems = read_grid("causes.csv", saved(rows).encode())
    assert [it.message for it in problems] == [
        "row 1, column F: no cause has a word for 'What is on it?'"
    ]
    rows[3] = ["Thirst", *rows[2][1:]]
    rows.append(["Frost", *[""] * 6])
    _, problems = read_grid("causes.csv", saved(rows).encode())
    assert {it.message.partition(": ")[0] for it in problems} == {
        "row 1, column F", "row 4, column A", "row 5, column A"
    }  # fmt: skip


WHOLE = [
    ("Größe,".encode("latin-1"), "line 1 is not stored as UTF-8", "UTF-8"),
    (saved().encode() + "Fäule,,,,,,".encode("latin-1"), "line 5 is not stored", "Save as"),
    (b"PK\x03\x04", "the sheet of an office program itself", "Save as"),
    (b"", "there is no grid", "row 1 holds the questions"),
    (b"cause\nrot\nfrost\n", "there is no grid", "row 2 their answers"),
    (b'"a,b\n', "cannot be read as CSV", "save the sheet again"),
    (b"\xff\xfea", "is not stored", "UTF-8"),
]


@pytest.mark.parametrize(("content", "says", "do"), WHOLE)
def test_what_is_no_sheet_is_refused_with_a_word(
    content: bytes, says: str, do: str
) -> None:
    """Another character set, the program's own file, or nothing: said with the way out."""
    grid, (problem,) = read_grid("causes.csv", content)
    assert grid is None
    assert says in problem.message
    assert do in problem.hint


def test_columns_have_the_names_an_office_program_gives() -> None:
    """Z is followed by AA."""
    assert [letters(it) for it in (0, 25, 26, 51, 52, 701, 702)] == [
        "A", "Z", "AA", "AZ", "BA", "ZZ", "AAA",
    ]  # fmt: skip


# Words with all that CSV, YAML and office programs find hard.
TEXT = (
    st.text("abcäöüßéX ,;\"'\t:#-[]{}&*!|>%@`=?", min_size=1, max_size=20)
    .map(lambda it: " ".join(it.split()))
    .filter(lambda it: it and not it.lower().startswith("none"))
)


@st.composite
def grids(draw: st.DrawFn) -> str:
    """The text of a sheet with any words, blanks, columns before the answers."""
    says = st.lists(TEXT, min_size=2, max_size=5, unique_by=str.lower)
    signs = draw(st.dictionaries(TEXT, says, min_size=1, max_size=4))
    names = draw(st.lists(TEXT, min_size=1, max_size=6, unique_by=str.lower))
    about = draw(st.lists(st.sampled_from([*ABOUT]), unique=True))
    none = {
        it: draw(st.sampled_from([[], ["none of these"], ["none: no x"]])) for it in signs
    }
    columns = [(sign, it) for sign in signs for it in (*signs[sign], *none[sign])]
    row = st.lists(
        st.sampled_from(("", *FREQUENCIES)), min_size=len(columns), max_size=len(columns)
    )
    told = [
        [draw(st.sampled_from(["", *ABOUT[it]]) if ABOUT[it] else TEXT) for it in about]
        for _ in names
    ]
    heads = [["", *("" for _ in about), *(it for it, _ in columns)]]
    heads.append(["cause", *about, *(it for _, it in columns)])
    marks = ["normal", *("" for _ in about), *_marks(draw, columns)]
    body = [marks] if any(marks[1:]) and draw(st.booleans()) else []
    if draw(st.booleans()):
        cell = st.lists(TEXT, max_size=3).map(draw(st.sampled_from([", ", ";"])).join)
        body.append(["words", *("" for _ in about), *(draw(cell) for _ in columns)])
    body += [[name, *said, *draw(row)] for name, said in zip(names, told, strict=True)]
    return saved([*heads, *body], draw(st.sampled_from(",;\t")))


def _marks(draw: st.DrawFn, columns: list[tuple[str, str]]) -> list[str]:
    """A mark in one column of some questions."""
    of_sign: dict[str, int] = {}
    for place, (sign, _) in enumerate(columns):
        if sign not in of_sign or draw(st.booleans()):
            of_sign[sign] = place
    kept = [it for it in of_sign.values() if draw(st.booleans())]
    return ["x" if place in kept else "" for place in range(len(columns))]
