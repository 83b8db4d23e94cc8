"""Reading the pages in tests/cases/checks: one page for each check, in prose and YAML.

A block is laid over the toy knowledge. Its first line says where:

    # in FILE                  its keys replace the same keys of the file, or are added
    # in FILE, KEY             the same, for the keys below KEY
    # in FILE, without KEY     the file loses that key; the rest is laid over it
    # new FILE                 the whole of a file
    # gone FILE                there is no such file

A failing block marks the line at fault with `# error: code` or `# warning: code`.
"""

import re
from dataclasses import dataclass
from pathlib import Path

HEADER = re.compile(
    r"# (?P<how>in|new|gone) (?P<file>[^,\n]+?)"
    r"(?:, (?P<without>without )?(?P<key>[a-z_-]+))?\n"
)
BLOCK = re.compile(r"```(?:yaml|svg)\n(.*?)```", re.DOTALL)
MARK = re.compile(r"# (?P<level>error|warning): (?P<code>[a-z-]+?)(?: -->)?$")
TODAY = re.compile(r"Asked on (\d{4}-\d\d-\d\d)\.")


@dataclass(frozen=True, kw_only=True, slots=True)
class Patch:
    """One block: which file it changes, and how."""

    file: str
    how: str
    key: str
    without: bool
    text: str

    @property
    def is_empty(self) -> bool:
        """Whether the block says nothing below its first line."""
        lines = map(str.strip, self.text.splitlines())
        return not any(line and not line.startswith("#") for line in lines)

    def laid_over(self, toy: str) -> str:
        """Give the text of the file after the change."""
        if self.how == "new":
            return self.text
        if self.without:
            toy = "".join(part for name, part in parts(toy, 0) if name != self.key)
            return replaced(toy, self.text, 0)
        if self.key:
            return "".join(
                replaced(part, self.text, 2) if name == self.key else part
                for name, part in parts(toy, 0)
            )
        return replaced(toy, self.text, 0)


@dataclass(frozen=True, kw_only=True, slots=True)
class CheckPage:
    """One page: why, what passes and what fails. `today` is for checks that need a day."""

    code: str
    prose: str
    passing: tuple[Patch, ...]
    failing: tuple[Patch, ...]
    today: str


def read_page(path: Path) -> CheckPage:
    """Read one page; blocks below `## Passes` pass, those below `## Fails` fail."""
    text = path.read_text(encoding="utf-8")
    prose, _, below = text.partition("## Passes\n")
    good, _, bad = below.partition("## Fails\n")
    today = TODAY.search(text)
    return CheckPage(
        code=path.stem,
        prose=prose.partition("\n")[2].strip(),
        passing=tuple(map(patch_of, BLOCK.findall(good))),
        failing=tuple(map(patch_of, BLOCK.findall(bad))),
        today=today.group(1) if today else "",
    )


def patch_of(block: str) -> Patch:
    """Read the first line of a block."""
    header = HEADER.match(block)
    assert header, f"a block must begin with '# in FILE' or '# new FILE': {block[:60]}"
    return Patch(
        file=header["file"],
        how=header["how"],
        key=header["key"] or "",
        without=bool(header["without"]) or header["how"] == "gone",
        text=block[header.end() :],
    )


def marks(text: str) -> list[tuple[int, str, str]]:
    """List line, level and code of every mark in a text."""
    return [
        (number, mark["level"], mark["code"])
        for number, line in enumerate(text.splitlines(), 1)
        if (mark := MARK.search(line))
    ]


def parts(text: str, indent: int) -> list[tuple[str, str]]:
    """Cut a text before each key at one depth; what comes before the first has no name."""
    found: list[tuple[str, str]] = [("", "")]
    for line in text.splitlines(keepends=True):
        key = re.match(rf"^ {{{indent}}}([A-Za-z][\w -]*):", line)
        if key:
            found.append((key[1], line))
        else:
            found[-1] = (found[-1][0], found[-1][1] + line)
    return found


def replaced(text: str, change: str, indent: int) -> str:
    """Put the keys of a change in place of the same keys of a text, new ones last."""
    changes = {name: part for name, part in parts(change, indent) if name}
    kept = [changes.pop(name, part) for name, part in parts(text, indent)]
    return "".join([*kept, *changes.values()])
