"""Style sheets: the nursery's colours as variables, and a small, safe minifier."""

import re
from collections.abc import Mapping

from bedside.model.records import Nursery

_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_STRING = re.compile(r"""("[^"]*"|'[^']*')""")
_SPACE = re.compile(r"\s+")
_AROUND = re.compile(r" ?([{};,>]) ?")


def minify(css: str) -> str:
    """Drop comments and needless space; nothing clever, so that nothing breaks."""
    parts = _STRING.split(_COMMENT.sub("", css))
    # Every second part is a quoted string, which stays as it is.
    parts[::2] = map(_tighter, parts[::2])
    return "".join(parts).strip()


def _tighter(css: str) -> str:
    css = _AROUND.sub(r"\1", _SPACE.sub(" ", css))
    return css.replace(": ", ":").replace(";}", "}")


def colours(nursery: Nursery) -> str:
    """The colour variables: light, and dark for readers whose device asks for it.

    Print is ink on white, whatever the screen shows.
    """
    light = _variables(nursery.light)
    return (
        f":root{{color-scheme:light dark;{light}}}"
        f"@media(prefers-color-scheme:dark){{:root{{{_variables(nursery.dark)}}}}}"
        f"@media print{{:root{{color-scheme:light;{light};--paper:#fff}}}}"
    )


def _variables(palette: Mapping[str, str]) -> str:
    return ";".join(f"--{role}:{value}" for role, value in sorted(palette.items()))
