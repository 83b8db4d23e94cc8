"""Render a page: our templates, strict about missing values, with every text escaped.

A template may use `url`, `asset`, `picture`, `style`, `nursery`, `words` and `page`; each
render binds them to the page's own address, so that links work under any sub-path. What it
shows is in `view`, whose records it reads as they are. Style sheets are minified, and the
nursery's colours come before them as variables.

The content policy of a page allows only its own files and the inline parts it was built
with. A hash for each inline style and script stands in it, so text from the knowledge can
never run, even if an escape were missed.
"""

import re
from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import Any, ClassVar
from urllib.parse import urlsplit

from jinja2 import BytecodeCache, DictLoader, Environment, StrictUndefined
from jinja2.bccache import Bucket
from markupsafe import Markup

from bedside.model.records import SPRAY_TIERS, Nursery
from bedside.pages.frame.addresses import (
    LOST,
    cause_address,
    control_address,
    place_address,
    relative,
    zips_address,
)
from bedside.pages.frame.assets import FOLDER, Asset, stamp
from bedside.pages.frame.drawings import picture, sprite
from bedside.read.theme import Theme

POLICY_PLACE = "<!--policy-->"
_INLINE = re.compile(r"<(style|script)((?:\s[^>]*)?)>(.*?)</\1>", re.DOTALL)
_OWN_FILES = (
    "default-src 'none'",
    "img-src 'self' data:",
    "font-src 'self'",
    "connect-src 'self'",
    "manifest-src 'self'",
    "worker-src 'self'",
    "form-action 'self'",
    "base-uri 'none'",
)


def with_policy(html: str) -> str:
    """Put the policy where the page left a place for it.

    `frame-ancestors` is left out on purpose: browsers ignore it in a meta element.
    """
    hashes: dict[str, list[str]] = {"style": [], "script": []}
    for kind, attributes, text in _INLINE.findall(html):
        if text and 'type="application/json"' not in attributes:
            hashes[kind].append(_hash(text))
    rules = (
        *_OWN_FILES,
        " ".join(("style-src 'self'", *_unique(hashes["style"]))),
        " ".join(("script-src 'self'", *_unique(hashes["script"]))),
    )
    meta = f'<meta http-equiv="Content-Security-Policy" content="{"; ".join(rules)}">'
    return html.replace(POLICY_PLACE, meta, 1)


def _hash(text: str) -> str:
    return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"


def _unique(items: list[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(items))


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


SPRITE_PLACE = "<!--sprite-->"
FIRST_SHEETS = ("base", "pens")
# Attributes that tell result.js what goes where; a built page has no use for them.
SLOTS = re.compile(r' data-(?:t|if|each|a|d)="[^"]*"')


@dataclass(frozen=True, kw_only=True, slots=True)
class PageFacts:
    """What a template may know of the page it makes."""

    address: str
    title: str
    description: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Templates:
    """Everything a render needs, read once."""

    environment: Environment
    styles: Mapping[str, str]
    palette: str
    stamps: Mapping[str, str]
    nursery: Nursery

    def render(
        self, name: str, page: PageFacts, drawings: Mapping[str, str], view: object
    ) -> str:
        """Make one page's HTML; the same values always give the same bytes."""
        html, drawn = self.skeleton(name, page, drawings, view)
        html = SLOTS.sub("", html)
        shared = sprite(drawings, drawn) if SPRITE_PLACE in html else ""
        return with_policy(html.replace(SPRITE_PLACE, shared, 1))

    def knowing(self, assets: tuple[Asset, ...]) -> "Templates":
        """The same templates, able to link to more files."""
        more = {asset.address: stamp(asset.content) for asset in assets}
        return replace(self, stamps={**self.stamps, **more})

    def sheet(self, *names: str) -> str:
        """Style sheets in one, minified; the colours come with the first of a page."""
        sheets = "".join(self.styles[f"{name}.css"] for name in names)
        return self.palette + sheets if names[0] in FIRST_SHEETS else sheets

    def skeleton(
        self, name: str, page: PageFacts, drawings: Mapping[str, str], view: object
    ) -> tuple[str, tuple[str, ...]]:
        """Make a piece of a page that keeps its slots, for a script to fill; and name the
        pictures on it."""
        here, drawn = page.address, dict[str, None]()

        def draw(name: str, alt: str = "") -> Markup:
            drawn[name] = None
            return Markup(picture(drawings, name, alt))

        html = self.environment.get_template(name).render(
            page=page,
            view=view,
            url=lambda there, fragment="": self._link(here, there, fragment),
            asset=lambda name: self._asset(here, name),
            picture=draw,
            style=self._style,
        )
        return html, tuple(drawn)

    def _link(self, here: str, there: str, fragment: str = "") -> str:
        # The lost page is served at any depth: only its links start from the site's root.
        if here == LOST:
            return urlsplit(self.nursery.site).path.rstrip("/") + "/" + there
        return relative(here, there, fragment)

    def _asset(self, here: str, name: str) -> str:
        return f"{self._link(here, FOLDER + name)}?v={self.stamps[FOLDER + name]}"

    def _style(self, *names: str) -> Markup:
        return Markup(f"<style>{self.sheet(*names)}</style>")


class _Compiled(BytecodeCache):
    """Every template compiled once, also if the site is made again while it is edited."""

    codes: ClassVar[dict[tuple[str, str], Any]] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Take what was compiled from the same text."""
        bucket.code = self.codes.get((bucket.key, bucket.checksum))

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what was compiled."""
        self.codes[bucket.key, bucket.checksum] = bucket.code


def templates(theme: Theme, nursery: Nursery, assets: tuple[Asset, ...]) -> Templates:
    """Prepare the templates; a misspelt field is an error and not a blank."""
    environment = Environment(
        loader=DictLoader(dict(theme.templates)),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        # The texts cannot change under it, so none is asked whether it did.
        auto_reload=False,
        cache_size=-1,
        bytecode_cache=_Compiled(),
    )
    environment.globals.update(
        nursery=nursery,
        words=theme.words,
        spray_tiers=SPRAY_TIERS,
        cause_address=cause_address,
        control_address=control_address,
        place_address=place_address,
        zips_address=zips_address,
    )
    return Templates(
        environment=environment,
        styles={name: minify(css) for name, css in theme.styles.items()},
        palette=colours(nursery),
        stamps={asset.address: stamp(asset.content) for asset in assets},
        nursery=nursery,
    )
