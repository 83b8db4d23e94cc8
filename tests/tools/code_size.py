"""Say how large the builder is: modules, and lines of code without comments and docstrings.

`python -m tests.tools.code_size`
"""

import ast
import io
import tokenize
from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "builder" / "bedside"
NO_CODE = {
    tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT,
    tokenize.ENDMARKER,
}  # fmt: skip
Documented = ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef


def code_lines(text: str) -> int:
    """Lines that hold a token of code; a text over several lines counts each of them."""
    held: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type not in NO_CODE:
            held.update(range(token.start[0], token.end[0] + 1))
    return len(held - docstring_lines(ast.parse(text)))


def docstring_lines(tree: ast.Module) -> set[int]:
    """The lines of every docstring."""
    found: set[int] = set()
    for node in ast.walk(tree):
        if (
            isinstance(node, Documented)
            and ast.get_docstring(node, clean=False) is not None
        ):
            said = node.body[0]
            found.update(range(said.lineno, (said.end_lineno or said.lineno) + 1))
    return found


def main() -> None:
    """Print both counts, and the largest modules."""
    files = sorted(PACKAGE.rglob("*.py"))
    lines = {
        str(it.relative_to(PACKAGE)): code_lines(it.read_text("utf-8")) for it in files
    }
    print(f"{len(files)} modules, {sum(lines.values()):,} lines of code")
    for name in sorted(lines, key=lambda it: -lines[it])[:10]:
        print(f"{lines[name]:5}  {name}")


if __name__ == "__main__":
    main()
