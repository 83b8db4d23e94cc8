"""The content policy of a page: only its own files and the inline parts it was built with.

A hash for each inline style and script stands in the policy, so text from the knowledge can
never run, even if an escape were missed.
"""

import re
from base64 import b64encode
from hashlib import sha256

PLACE = "<!--policy-->"
_INLINE = re.compile(r"<(style|script)((?:\s[^>]*)?)>(.*?)</\1>", re.DOTALL)
_OWN = (
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
        *_OWN,
        " ".join(("style-src 'self'", *_unique(hashes["style"]))),
        " ".join(("script-src 'self'", *_unique(hashes["script"]))),
    )
    meta = f'<meta http-equiv="Content-Security-Policy" content="{"; ".join(rules)}">'
    return html.replace(PLACE, meta, 1)


def _hash(text: str) -> str:
    return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"


def _unique(items: list[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(items))
