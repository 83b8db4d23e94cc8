"""Teach the reader of letters: from letters written for it to the weights it travels with.

    python -m tests.tools.train_letters [--only-judge]

Each letter was written for this by one of several writers and read once more by another,
who marked the words in which it says what is seen, and asks what it asks. What stands in a
letter is found by the reader's own script in a browser, so that there is one reading and
not two. Every figure printed comes from models that never saw a letter of the same writer;
the weights written come from all of them. The models are logistic regressions
(scikit-learn): one for danger, one each for the kinds of mail, boxes of first aid, causes,
questions and answers. Features that weigh least are left out and the rest is fitted again.
"""

import json
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import yaml
from numpy.typing import NDArray
from playwright.sync_api import sync_playwright
from scipy.sparse import csr_matrix
from sklearn.linear_model import LogisticRegression
from sklearn.preprocessing import normalize

from bedside.publish.whole_site import build_site
from bedside.reason import scale
from bedside.reason.evidence import Evidence, weigh
from tests.browser import ROOT, served, start_browser
from tests.knowledge.letters_read import known_plant, reader_page
from tests.shipped import PLANT

LETTERS = ROOT / "tests" / "knowledge" / "letters" / "tuning"
KEPT = ROOT / "site_src" / "trained.json"  # of danger and kinds of mail, for every plant
KEPT_OF_PLANT = ROOT / "knowledge" / PLANT / "trained.json"
FEATURES = "letters => letters.map(it => reader.featuresOf(it, table))"
LEVELS = 45  # a weight travels as one of so many steps to either side of nought
FIRST_SIGN = 35
FEWEST = 2  # a feature stands in at least so many letters
CANDIDATE = scale.LETTERS["heard"]
FLOOR = scale.LETTERS["floor"]
FOLDS = 6  # each leaves out all letters of two or three writers

Features = frozenset[str]
Vector = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True)
class Letter:
    """A letter, who wrote it, what it says, and what stands in it for the models."""

    id: str
    writer: str
    file: str
    kind: str
    danger: bool
    box: str
    causes: tuple[str, ...]
    asks: frozenset[str] | None  # None: nobody marked what it asks
    found: frozenset[str] | None  # the same of what it says is seen
    whole: Features
    sentences: tuple["Sentence", ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Sentence:
    """What stands in a sentence, and what was marked in it."""

    features: Features
    hits: Mapping[
        str, tuple[int, float]
    ]  # answer -> words of its phrase, their part of all
    asks: frozenset[str]
    found: frozenset[str]


@dataclass(frozen=True, kw_only=True, slots=True)
class Model:
    """A linear model: for each label a bias and a weight for each feature."""

    labels: tuple[str, ...]
    names: tuple[str, ...]
    weights: Vector  # labels by features
    bias: Vector
    even: bool  # a long letter counts no more than a short one

    def scores(self, rows: Sequence[Features]) -> Vector:
        """Score rows of features: rows by labels. The reader is shyer of short letters."""
        found = _matrix(rows, self.names)
        return np.asarray(
            (normalize(found) if self.even else found) @ self.weights.T + self.bias
        )


# ---- reading


def corpus() -> list[dict[str, Any]]:
    """Every letter as it was written, with its writer."""
    return [
        {**it, "writer": path.stem}
        for path in sorted(LETTERS.glob("*.yaml"))
        for it in yaml.load(path.read_text(encoding="utf-8"), yaml.CSafeLoader)
    ]


def read(written: list[dict[str, Any]]) -> list[Letter]:
    """Let the reader say what stands in each letter, in a real browser."""
    out = ROOT / ".bedside-cache" / "training"
    build_site(ROOT, out)
    with served(out) as site, sync_playwright() as playwright:
        page = reader_page(start_browser(playwright), site)
        stands = page.evaluate(FEATURES, [it["letter"] for it in written])
    return [_letter(it, here) for it, here in zip(written, stands, strict=True)]


def _letter(it: dict[str, Any], here: dict[str, Any]) -> Letter:
    texts = [_plain(each["text"]) for each in here["sentences"]]
    asks, found = (_placed(it.get(key) or {}, texts) for key in ("asks", "found"))
    return Letter(
        id=it["id"], writer=it["writer"], file=it["file"], kind=it["kind"],
        danger=it["kind"] == "danger", box=it.get("box", ""),
        causes=tuple(it.get("causes", ())),
        asks=frozenset(it["asks"]) if "asks" in it else None,
        found=frozenset(it["found"]) if "found" in it else None,
        whole=frozenset(here["letter"]),
        sentences=tuple(
            Sentence(
                features=frozenset(each["features"]),
                hits={id_: (slots, covers) for id_, slots, covers in each["hits"]},
                asks=asks[at], found=found[at],
            )
            for at, each in enumerate(here["sentences"])
        ),
    )  # fmt: skip


def _plain(text: str) -> str:
    for one, other in ("’'", "‘'", '“"', '”"', "–-", "—-"):
        text = text.replace(one, other)
    return " ".join(text.lower().split())


def _placed(marks: Mapping[str, str], texts: list[str]) -> list[frozenset[str]]:
    """Put a mark to the sentence that holds its words, else to the one that holds most."""
    placed: list[set[str]] = [set() for _ in texts]
    for id_, words in marks.items():
        plain = _plain(str(words))
        holds = [at for at, text in enumerate(texts) if plain in text]
        said = set(plain.split())
        nearest = max(
            range(len(texts)),
            key=lambda at: len(said & set(texts[at].split())),
            default=None,
        )
        for at in holds or ([] if nearest is None else [nearest]):
            placed[at].add(id_)
    return [frozenset(it) for it in placed]


# ---- fitting


def _matrix(rows: Sequence[Features], names: Sequence[str]) -> csr_matrix:
    place = {name: at for at, name in enumerate(names)}
    hits = [[place[it] for it in row if it in place] for row in rows]
    columns = [at for row in hits for at in sorted(row)]
    starts = np.cumsum([0, *map(len, hits)])
    return csr_matrix(
        (np.ones(len(columns)), columns, starts), shape=(len(rows), len(names))
    )


def _vocabulary(rows: Iterable[Features], keep: Callable[[str], bool]) -> tuple[str, ...]:
    counts = Counter(it for row in rows for it in row)
    return tuple(sorted(it for it, count in counts.items() if count >= FEWEST and keep(it)))


@dataclass(frozen=True, kw_only=True, slots=True)
class Recipe:
    """How a model is fitted: which features, how freely, how many are kept."""

    keep: Callable[[str], bool]
    freedom: float
    most: int
    even: bool = True
    balanced: bool = False


def fit(
    recipe: Recipe,
    rows: Sequence[Features],
    labels: Sequence[frozenset[str]],
    *,
    several: bool,
) -> Model:
    """Fit once to see which features matter, and again on those.

    With `several` a row may have any number of labels, and each is told from all the rest.
    """
    names = _vocabulary(rows, recipe.keep)
    first = _fitted(recipe, rows, labels, names, several=several)
    strength = np.abs(first.weights).max(axis=0)
    best = sorted(np.argsort(-strength, kind="stable")[: recipe.most])
    return _fitted(recipe, rows, labels, tuple(names[at] for at in best), several=several)


def _fitted(
    recipe: Recipe, rows: Sequence[Features], labels: Sequence[frozenset[str]],
    names: tuple[str, ...], *, several: bool,
) -> Model:  # fmt: skip
    found = _matrix(rows, names)
    found = normalize(found) if recipe.even else found
    form = {
        "C": recipe.freedom,
        "max_iter": 2000,
        "class_weight": "balanced" if recipe.balanced else None,
    }
    if several:
        counts = Counter(it for row in labels for it in row)
        known = tuple(sorted(it for it, count in counts.items() if count > FEWEST))
        fitted = [
            LogisticRegression(**form, solver="liblinear").fit(
                found, [it in row for row in labels]
            )
            for it in known
        ]
        weights = np.vstack([it.coef_[0] for it in fitted])
        bias = np.array([it.intercept_[0] for it in fitted])
    else:
        model = LogisticRegression(**form).fit(found, [next(iter(row)) for row in labels])
        known, weights, bias = (
            tuple(map(str, model.classes_)),
            model.coef_,
            model.intercept_,
        )
    return Model(labels=known, names=names, weights=weights, bias=bias, even=recipe.even)


def packed(model: Model, least: float) -> dict[str, Any]:
    """Write a model as the reader unpacks it: weights in steps, only those that count."""
    step = float(np.abs(model.weights).max()) / LEVELS
    steps = np.rint(model.weights / step).astype(int)
    steps[np.abs(model.weights) < least * step * LEVELS] = 0
    used = np.flatnonzero(np.abs(steps).max(axis=0))
    rows = [
        "".join(
            chr(FIRST_SIGN + label) + chr(FIRST_SIGN + LEVELS + int(steps[label, at]))
            for label in np.flatnonzero(steps[:, at])
        )
        for at in used
    ]
    return {
        "labels": list(model.labels),
        "bias": [round(float(it), 3) for it in model.bias],
        "even": int(scale.LETTERS["fewest"]) if model.even else 0,
        "step": round(step, 5),
        "features": "\n".join(model.names[at] for at in used),
        "weights": " ".join(rows),
    }


# ---- the models


OURS = frozenset((PLANT, f"{PLANT}s"))


def _plain_word(it: str) -> bool:
    return it[0] not in "@&~<#!?%^$"


def _shared(it: str) -> bool:
    """Whether it names no plant and no answer of one: such a model serves every plant."""
    return it[0] not in "~<" and OURS.isdisjoint(it.strip("?#!@&").split())


DANGER = Recipe(
    keep=lambda it: _shared(it) and it[0] not in "?#!%^$", freedom=30, most=3000
)
BOXES = Recipe(keep=lambda it: _shared(it) and it[0] not in "?#!%^$", freedom=20, most=1000)
KINDS = Recipe(
    keep=lambda it: _shared(it) and it[0] != "&" and it.count("@") < 2,
    freedom=30,
    most=2000,
    balanced=True,
)
CAUSES = Recipe(
    keep=lambda it: (_plain_word(it) and " " not in it) or it[0] == "~",
    freedom=1,
    most=700,
    even=False,
    balanced=True,
)
ASKS = Recipe(keep=_shared, freedom=2, most=2000, even=False)
ANSWERS = Recipe(
    keep=lambda it: _plain_word(it) or it[0] in "~<", freedom=3, most=1500, even=False
)
LIGHTEST = {
    "danger": 0.02,
    "boxes": 0.1,
    "kinds": 0.06,
    "causes": 0.12,
    "asks": 0.08,
    "answers": 0.12,
}


def only(it: str) -> frozenset[str]:
    """One label."""
    return frozenset((it,))


def readable(letters: Sequence[Letter]) -> list[Letter]:
    """Letters that are not in another language."""
    return [it for it in letters if it.kind != "foreign"]


def troubles(letters: Sequence[Letter]) -> list[Letter]:
    """Letters about one trouble or two that can be told."""
    return [it for it in letters if it.kind == "trouble" and it.causes]


def models(letters: Sequence[Letter]) -> dict[str, Model]:
    """Fit every model on these letters."""
    english = readable(letters)
    hurt = [it for it in english if it.danger and it.box]
    calm = [it for it in english if not it.danger]
    told = troubles(letters)
    asking = [each for it in english if it.asks is not None for each in it.sentences]
    seen = [each for it in letters if it.found is not None for each in it.sentences]
    danger = [only("danger") if it.danger else frozenset() for it in english]
    return {
        "danger": fit(DANGER, [it.whole for it in english], danger, several=True),
        "boxes": fit(
            BOXES, [it.whole for it in hurt], [only(it.box) for it in hurt], several=False
        ),
        "kinds": fit(
            KINDS, [it.whole for it in calm], [only(it.kind) for it in calm], several=False
        ),
        "causes": fit(
            CAUSES,
            [it.whole for it in told],
            [only(it.causes[0]) for it in told],
            several=False,
        ),
        "asks": fit(
            ASKS, [it.features for it in asking], [it.asks for it in asking], several=True
        ),
        "answers": fit(
            ANSWERS, [it.features for it in seen], [it.found for it in seen], several=True
        ),
    }


# ---- judging


@dataclass(frozen=True, kw_only=True, slots=True)
class Judged:
    """What models that never saw a letter's writer make of it."""

    danger: float
    box: str
    kind: str
    causes: dict[str, float]
    asks: dict[str, float]
    answers: dict[str, tuple[float, tuple[int, float] | None]]  # score, and a known phrase


def judge(
    made: Mapping[str, Model], letters: Sequence[Letter], causes: Sequence[str]
) -> list[Judged]:
    """Read letters with these models."""
    rows = [it.whole for it in letters]
    whole = {
        name: made[name].scores(rows) for name in ("danger", "boxes", "kinds", "causes")
    }
    return [
        Judged(
            danger=float(whole["danger"][at, 0]),
            box=made["boxes"].labels[int(whole["boxes"][at].argmax())],
            kind=made["kinds"].labels[int(whole["kinds"][at].argmax())],
            causes=_shares(made["causes"].labels, whole["causes"][at], causes),
            asks=_most(made["asks"], letter),
            answers=_said(made["answers"], letter),
        )
        for at, letter in enumerate(letters)
    ]


def _shares(
    labels: Sequence[str], scores: Vector, causes: Sequence[str]
) -> dict[str, float]:
    raised = np.exp(scores - scores.max())
    said = dict(zip(labels, raised / raised.sum(), strict=True))
    total = 1 + FLOOR * len(causes)
    return {it: float(said.get(it, 0) + FLOOR) / total for it in causes}


def _most(model: Model, letter: Letter) -> dict[str, float]:
    if not letter.sentences:
        return {}
    best = model.scores([it.features for it in letter.sentences]).max(axis=0)
    return dict(zip(model.labels, map(float, best), strict=True))


def _said(
    model: Model, letter: Letter
) -> dict[str, tuple[float, tuple[int, float] | None]]:
    hits: dict[str, tuple[int, float]] = {}
    for each in letter.sentences:
        for answer, hit in each.hits.items():
            if hit[0] > hits.get(answer, (0, 0.0))[0]:
                hits[answer] = hit
    best = _most(model, letter)
    return {
        it: (best.get(it, float(CANDIDATE)), hits.get(it))
        for it in {*hits, *(name for name, score in best.items() if score >= CANDIDATE)}
    }


def rows_of_says(
    evidence: Evidence, letter: Letter, judged: Judged
) -> list[tuple[str, list[float], bool]]:
    """For each answer that may be said: its row for the model of how likely it is."""
    said = np.array([judged.causes[it] for it in evidence.causes])
    rows = []
    for answer, (score, hit) in sorted(judged.answers.items()):
        sign, column = evidence.answers[answer]
        share = evidence.signs[sign].read[:, column]
        phrase = [1.0, score, *map(float, hit)] if hit else [0.0] * 4
        row = [score, float(np.log(share @ said)), float(np.log(share.mean())), *phrase]
        rows.append((answer, row, answer in (letter.found or ())))
    return rows


def says(
    evidence: Evidence, letters: Sequence[Letter], judged: Sequence[Judged]
) -> LogisticRegression:
    """How likely it is that an answer is said: by its score, a phrase, and what it fits."""
    rows = [
        row
        for letter, it in zip(letters, judged, strict=True)
        if letter.found is not None
        for row in rows_of_says(evidence, letter, it)
    ]
    return LogisticRegression(C=1, max_iter=1000).fit(
        [row for _, row, _ in rows], [is_ for *_, is_ in rows]
    )


def told(
    evidence: Evidence,
    model: LogisticRegression,
    letter: Letter,
    judged: Judged,
    from_: float,
) -> dict[str, str]:
    """The findings of a letter: the likeliest answer of each sign."""
    rows = rows_of_says(evidence, letter, judged)
    if not rows:
        return {}
    best: dict[str, tuple[float, str]] = {}
    for (answer, *_), chance in zip(
        rows, model.predict_proba([it for _, it, _ in rows])[:, 1], strict=True
    ):
        sign = evidence.answers[answer][0]
        if chance >= from_:
            best[sign] = max(best.get(sign, (0.0, "")), (float(chance), answer))
    return {sign: answer for sign, (_, answer) in best.items()}


def share(right: int | float, of: int | float) -> str:
    """Write a share."""
    return f"{right / of:.3f}" if of else "-"


def report(evidence: Evidence, letters: Sequence[Letter], judged: Sequence[Judged]) -> None:
    """Print how well letters are read whose writers no model has seen."""
    both = list(zip(letters, judged, strict=True))
    english = [(it, got) for it, got in both if it.kind != "foreign"]
    hurt = [(it, got) for it, got in english if it.danger]
    for least in (-0.6, -0.4, -0.2, 0.0, 0.2):
        parts = [f"{share(sum(got.danger > least for _, got in hurt), len(hurt))} noticed"]
        for file in ("calm", "trouble", "other"):
            rest = [got for it, got in english if it.file == file and not it.danger]
            parts.append(
                f"{file} {share(sum(got.danger > least for got in rest), len(rest))}"
            )
        print(f"danger from {least:+.1f}:", ", ".join(parts))
    print("box:", share(sum(got.box == it.box for it, got in hurt), len(hurt)))
    calm = [(it, got) for it, got in english if not it.danger]
    print("kind:", share(sum(got.kind == it.kind for it, got in calm), len(calm)))
    _report_asks([it for it in english if it[0].asks is not None])
    _report_causes([it for it in both if it[0].kind == "trouble" and it[0].causes])
    _report_findings(evidence, [it for it in both if it[0].found is not None])


def _report_asks(pairs: Sequence[tuple[Letter, Judged]]) -> None:
    for least in (-1.0, -0.7, -0.4, -0.2, 0.0, 0.3):
        said = [
            {ask for ask, score in got.asks.items() if score > least} for _, got in pairs
        ]
        _report_overlap(
            f"asks from {least:+.1f}", said, [it.asks or frozenset() for it, _ in pairs]
        )


def _report_causes(pairs: Sequence[tuple[Letter, Judged]]) -> None:
    best = [[cause for cause, _ in Counter(got.causes).most_common(3)] for _, got in pairs]
    wanted = [set(it.causes) for it, _ in pairs]
    first = sum(leads[0] in it for leads, it in zip(best, wanted, strict=True))
    three = sum(not it.isdisjoint(leads) for leads, it in zip(best, wanted, strict=True))
    print(
        f"cause by words: {share(first, len(pairs))}, in three {share(three, len(pairs))}"
    )


def _report_findings(evidence: Evidence, pairs: Sequence[tuple[Letter, Judged]]) -> None:
    model = says(evidence, [it for it, _ in pairs], [got for _, got in pairs])
    for least in (0.3, 0.35, 0.4, 0.45, 0.5):
        said = [set(told(evidence, model, it, got, least).values()) for it, got in pairs]
        _report_overlap(
            f"findings from {least}", said, [it.found or frozenset() for it, _ in pairs]
        )


def _report_overlap(
    what: str, said: Sequence[set[str]], wanted: Sequence[frozenset[str]]
) -> None:
    right = sum(len(one & other) for one, other in zip(said, wanted, strict=True))
    precision, recall = (share(right, sum(map(len, all_))) for all_ in (said, wanted))
    print(f"{what}: precision {precision} recall {recall}")


def main() -> int:
    """Judge, print, and write the weights unless only a judgement is wanted."""
    letters = read(corpus())
    evidence = weigh(known_plant())
    judged: dict[str, Judged] = {}
    writers = sorted({it.writer for it in letters})
    for fold in range(FOLDS):
        aside = set(writers[fold::FOLDS])
        rest = [it for it in letters if it.writer not in aside]
        mine = [it for it in letters if it.writer in aside]
        judged.update(
            zip(
                (it.id for it in mine),
                judge(models(rest), mine, evidence.causes),
                strict=True,
            )
        )
    in_order = [judged[it.id] for it in letters]
    report(evidence, letters, in_order)
    if "--only-judge" in sys.argv:
        return 0
    made = models(letters)
    model = says(evidence, letters, in_order)
    own = {"causes", "answers"}
    light = {name: packed(it, LIGHTEST[name]) for name, it in made.items()}
    light_says = {
        "weights": [round(float(it), 4) for it in (model.intercept_[0], *model.coef_[0])]
    }
    training = {"letters": len(letters), "writers": len({it.writer for it in letters})}
    shared = {name: it for name, it in light.items() if name not in own}
    keep(KEPT, {"training": training, "shared": shared})
    keep(KEPT_OF_PLANT, {**{it: light[it] for it in sorted(own)}, "says": light_says})
    return 0


def keep(path: Path, trained: dict[str, Any]) -> None:
    """Write what was learnt, a line a value, so that a change can be compared."""
    text = json.dumps(trained, ensure_ascii=False, indent=0, sort_keys=True)
    path.write_text(f"{text}\n", encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
