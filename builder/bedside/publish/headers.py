"""What a web server should send with a site's files: recipes for three ways to publish.

Every page carries its own content policy in a meta element, made of hashes. The policy sent
by the server is the union of those, and adds what browsers ignore in a meta element
(W3C Content Security Policy Level 3, section 3.3: `frame-ancestors`).
"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from bedside.pages.service_worker import WORKER

HASH = re.compile(r"'sha256-[A-Za-z0-9+/=]+'")
META = re.compile(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)"')
YEAR_S = 31_536_000
# A page may be kept, and is asked for again each time; what is stamped never changes.
PAGES_KEPT = "no-cache"
STAMPED_KEPT = f"public, max-age={YEAR_S}, immutable"
FILES_KEPT = "public, max-age=3600"
# Only names that carry a hash of their own may be kept for ever.
STAMPED = r"assets/(?:stylesheets|javascripts)/.+\.[0-9a-f]{8}\.min\.(?:css|js)"


@dataclass(frozen=True, kw_only=True, slots=True)
class Site:
    """What the recipes need: the policy, and the address below which the site stands."""

    policy: str
    base: str  # begins and ends with a slash


def policy_of(files: Mapping[str, bytes]) -> str:
    """One content policy under which every page of a built site works."""
    pages = (text.decode() for name, text in files.items() if name.endswith(".html"))
    policies = [match[1] for page in pages if (match := META.search(page))]
    rules: dict[str, dict[str, None]] = {}
    for policy in dict.fromkeys(policies):
        for rule in policy.split("; "):
            name, *values = rule.split(" ")
            rules.setdefault(name, {}).update(dict.fromkeys(values))
    lines = [" ".join((name, *_hashes_last(values))) for name, values in rules.items()]
    return "; ".join((*lines, "frame-ancestors 'none'"))


def _hashes_last(values: Iterable[str]) -> list[str]:
    return sorted(values, key=lambda value: (bool(HASH.fullmatch(value)), value))


def always(site: Site) -> dict[str, str]:
    """The headers of every file."""
    return {
        "Content-Security-Policy": site.policy,
        "Strict-Transport-Security": f"max-age={YEAR_S}",
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
        "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
        "Cross-Origin-Opener-Policy": "same-origin",
    }


def server(site: Site) -> str:
    """A block for nginx, the plain web server."""
    # `add_header` in a location drops those outside, so a map picks the cache time.
    sent = "\n".join(
        f'    add_header {name} "{value}" always;' for name, value in always(site).items()
    )
    return f"""\
# http block
map $uri $bedside_kept {{
    default "{PAGES_KEPT}";
    "~^{site.base}{STAMPED}$" "{STAMPED_KEPT}";
    "~^{site.base}(assets|guide)/" "{FILES_KEPT}";
}}
# server block, https only; `root` is the folder that holds the built site
location {site.base} {{
{sent}
    add_header Cache-Control $bedside_kept always;
    gzip on;
    gzip_types text/css text/javascript application/javascript application/json
               image/svg+xml text/calendar;
    index index.html;
    try_files $uri $uri/ =404;
}}
error_page 404 {site.base}404.html;
"""


def bucket(site: Site) -> str:
    """Commands for an object store with a CDN before it, files first and pages last."""
    kept = (("assets/*", FILES_KEPT), ("guide/*", FILES_KEPT), ("*.html", PAGES_KEPT))
    rows = "\n".join(f"#   {name:<10} Cache-Control: {value}" for name, value in kept)
    sent = "\n".join(f"#   {name}: {value}" for name, value in always(site).items())
    return f"""\
# 1. Upload in this order, so that no page is there before the files it needs:
#    assets/ and guide/, then every other file, then {WORKER} last. Delete nothing before.
# 2. Cache times, set on the objects:
{rows}
#   {WORKER:<10} Cache-Control: {PAGES_KEPT}
# 3. Headers, set in the CDN's response header policy:
{sent}
# 4. In the CDN: https only; a request for a folder gives its index.html;
#    what is not found gives {site.base}404.html with status 404;
#    purge *.html and {WORKER} after each upload.
"""


def pages_service(site: Site) -> str:
    """The `_headers` file that several pages services read; others ignore it."""
    sent = "\n".join(f"  {name}: {value}" for name, value in always(site).items())
    return f"""\
{site.base}*
{sent}
  Cache-Control: {PAGES_KEPT}
"""


RECIPES: Mapping[str, Callable[[Site], str]] = {
    "server": server,
    "bucket": bucket,
    "pages": pages_service,
}
