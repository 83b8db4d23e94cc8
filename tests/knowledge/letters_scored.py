"""How well letters are read: what written letters say beside what the reader says.

Two folders of letters: `tuning`, from which the reader has learnt, and `aside`, written by
others and never looked at one by one. Trust the figures of the second.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

HERE = Path(__file__).parent / "letters"
Written = dict[str, Any]
Read = dict[str, Any]
Pair = tuple[Written, Read]


@dataclass(frozen=True, kw_only=True, slots=True)
class Share:
    """So many right of so many."""

    right: int
    of: int

    def __str__(self) -> str:
        return f"{self.right} of {self.of}" + (
            f" ({self.right / self.of:.3f})" if self.of else ""
        )


def written(folder: str) -> list[Written]:
    """Read every letter of a folder, with the name of its file."""
    return [
        {**it, "writer": path.stem}
        for path in sorted((HERE / folder).glob("*.yaml"))
        for it in yaml.load(path.read_text(encoding="utf-8"), yaml.CSafeLoader)
    ]


def figures(pairs: Sequence[Pair]) -> dict[str, Share]:
    """Count what was read right; the names say what of."""
    english = [it for it in pairs if it[0]["kind"] != "foreign"]
    hurt = [it for it in english if it[0]["kind"] == "danger"]
    noticed = [it for it in hurt if it[1]["urgent"]]
    plain = [it for it in english if it[0]["kind"] != "danger"]
    # Short letters say a kind and a danger, and no cause: nobody entered what they show.
    troubles = [it for it in plain if it[0]["kind"] == "trouble" and "causes" in it[0]]
    decided = [it for it in troubles if it[0].get("causes")]
    open_ = [it for it in troubles if not it[0].get("causes")]
    marked = [it for it in english if "found" in it[0]]
    asking = [it for it in english if "asks" in it[0]]
    return {
        "danger noticed": _share(hurt, lambda _, got: bool(got["urgent"])),
        "the right box, of those noticed": _share(noticed, _right_box),
        "calm letters called dangerous": _share(
            (it for it in plain if it[0]["file"] == "calm"),
            lambda _, got: bool(got["urgent"]),
        ),
        "letters of trouble called dangerous": _share(
            (it for it in plain if it[0]["file"] == "trouble"),
            lambda _, got: bool(got["urgent"]),
        ),
        "kind of mail": _share(pairs, lambda it, got: it["kind"] == got["kind"]),
        "cause first": _share(decided, lambda it, got: _in(it, got, 1) > 0),
        "cause in the first three": _share(decided, lambda it, got: _in(it, got, 3) > 0),
        "asked back, of those that tell too little": _share(
            open_, lambda _, got: not got["enough"]
        ),
        "named surely and wrong": _share(
            troubles, lambda it, got: got["enough"] and not _in(it, got, 1)
        ),
        "questions: precision": _overlap(asking, "asks", _asked, of=1),
        "questions: recall": _overlap(asking, "asks", _asked, of=0),
        "findings: precision": _overlap(marked, "found", _found, of=1),
        "findings: recall": _overlap(marked, "found", _found, of=0),
    }


def _share(pairs: Iterable[Pair], is_right: Callable[[Written, Read], bool]) -> Share:
    verdicts = [is_right(*it) for it in pairs]
    return Share(right=sum(verdicts), of=len(verdicts))


def _right_box(it: Written, got: Read) -> bool:
    return any(each["aid"] == it["box"] for each in got["urgent"])


def _in(it: Written, got: Read, count: int) -> int:
    """How many of the first causes are among those of the letter."""
    return sum(each["cause"] in it.get("causes", ()) for each in got["ranking"][:count])


def _asked(got: Read) -> set[str]:
    return set(got["asks"])


def _found(got: Read) -> set[str]:
    return {each["answer"] for each in got["findings"]}


def _overlap(
    pairs: Sequence[Pair], key: str, said: Callable[[Read], set[str]], *, of: int
) -> Share:
    both = [(set(it[key] or ()), said(got)) for it, got in pairs]
    return Share(
        right=sum(len(one & other) for one, other in both),
        of=sum(len(each[of]) for each in both),
    )
