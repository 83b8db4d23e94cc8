"""Spoil values of one record at a time, and letters and addresses, by a seeded draw."""

import random
from collections.abc import Iterator
from typing import Any

import yaml

MARK = "x-fuzz"  # a tag that no page has: found as a tag, it was taken as markup
HOSTILE = (
    f"<{MARK} onclick=ran()>", f'"><{MARK}>', f"'><{MARK} autofocus onfocus=ran()>",
    f"</style><{MARK}>", f"</script><script>ran()</script><{MARK}>", f"--><{MARK}>",
    "{{ 7*7 }}", "{% raw %}", "${ran()}", "javascript:ran()", f"]]><{MARK}>",
    "&lt;b&gt;", "\u202etxt.exe", "../../../etc/passwd", "' OR 1=1 --", "%3Cscript%3E",
)  # fmt: skip
ODD = (
    "", " ", "0", "-1", "null", "~", "true", "1:30", "010", "1e400", "NaN", "2026-02-30",
    "é" * 40, "x" * 3000, "\u0000", "\ud7ff", "🐌🐌", "a\nb", "|", "&a *a",
    "!!python/name:x",
)  # fmt: skip
THINGS: tuple[Any, ...] = (
    None, True, False, 0, -1, 10**20, 1.5, [], {}, [[]], {"": ""}, ["a", "a"], [None],
    {"say": 1}, {"constructor": "x"}, {1: 2},
)  # fmt: skip


def spoiled(data: Any, draw: random.Random, values: int, *, keep_kind: bool) -> str:
    """The YAML text of a record with some values put in place of others.

    With `keep_kind` a text is replaced by a text, so that the shape often stays right.
    """
    data = yaml.safe_load(yaml.safe_dump(data, allow_unicode=True))
    places = list(_places(data))
    texts = [holder[key] for holder, key in places if isinstance(holder[key], str)]
    for holder, key in draw.choices(places, k=values):
        if key in holder if isinstance(holder, dict) else key < len(holder):
            _spoil(holder, key, draw, texts, keep_kind)
    return yaml.dump(data, allow_unicode=True, sort_keys=False)


def _places(data: Any) -> Iterator[tuple[Any, Any]]:
    pairs = data.items() if isinstance(data, dict) else enumerate(data)
    for key, value in list(pairs):
        yield data, key
        if isinstance(value, (dict, list)):
            yield from _places(value)


def _spoil(
    holder: Any, key: Any, draw: random.Random, texts: list[str], keep_kind: bool
) -> None:
    value = holder[key]
    if keep_kind:
        # A text of one word is an id: another word there would be another fault.
        if isinstance(value, str) and " " in value:
            sentences = [text for text in texts if " " in text]
            pool = sentences if draw.random() < 0.5 else HOSTILE
            holder[key] = draw.choice(pool)
        return
    way = draw.randrange(5)
    if way == 0:
        del holder[key]
    elif way == 1 and isinstance(holder, dict):
        holder[draw.choice((*HOSTILE, *ODD, *texts))] = holder.pop(key)
    elif way == 2:
        holder[key] = [value, value]
    else:
        holder[key] = draw.choice((*HOSTILE, *ODD, *THINGS, *texts))


def letter(draw: random.Random, said: list[str]) -> str:
    """A letter of things people say, of markup and of noise."""
    parts = []
    for _ in range(draw.randrange(1, 30)):
        way = draw.random()
        if way < 0.6:
            parts.append(draw.choice(said))
        elif way < 0.75:
            parts.append(draw.choice(HOSTILE))
        elif way < 0.9:
            parts.append(draw.choice(ODD))
        else:
            parts.append("".join(chr(draw.randrange(32, 0x2FFF)) for _ in range(20)))
    return draw.choice((" ", "\n", ". ", "")).join(parts)


def fragment(draw: random.Random, ids: list[str]) -> str:
    """What may stand after the # of an address."""
    pool = (*ids, *HOSTILE, *ODD, "__proto__", "constructor", "toString", "%", "%zz")
    return draw.choice((".", ".", "..", "#", ",")).join(
        draw.choices(pool, k=draw.randrange(9))
    )
