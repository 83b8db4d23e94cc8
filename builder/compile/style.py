"""Style sheets: the nursery's colours as variables, and a small, safe minifier."""

import re
from collections.abc import Mapping

from builder.model import Nursery

_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_SPACE = re.compile(r"\s+")
_AROUND = re.compile(r" ?([{};,>]) ?")


def minify(css: str) -> str:
    """Drop comments and needless space; nothing clever, so that nothing breaks."""
    css = _SPACE.sub(" ", _COMMENT.sub("", css))
    css = _AROUND.sub(r"\1", css)
    return css.replace(": ", ":").replace(";}", "}").strip()


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
