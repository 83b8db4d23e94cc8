"""What only the tests can measure, kept beside the plant for the page on how sure we are.

    python -m tests.tools.measures [FILE ...]

FILE: a file of cases that nobody had ranked before, without its ending. What comes out of
it then is kept as its first run, beside what comes out today.

A decision tree of scikit-learn, fitted on gardeners drawn from the evidence table, with as
many leaves as our tree has ends; and the development letters with findings entered by
hand. The file names the day; `tests/knowledge/test_report.py` measures again and holds it
to that.
"""

import json
import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from sklearn.tree import DecisionTreeClassifier

from bedside.measure.asking import at_once
from bedside.measure.cases import score_cases
from bedside.measure.gardeners import Crowd, Gardeners, careful, draw_answers, hasty
from bedside.measure.scores import judge, score, wilson
from bedside.model.records import Plant
from bedside.read.library import read_library
from bedside.reason.evidence import Evidence, Findings, Table, weigh
from bedside.reason.findings import findings_of
from tests.knowledge.letters_by_hand import scored
from tests.shipped import PLANT

ROOT = Path(__file__).parents[2]
# The one plant with letters whose findings were entered by hand.
KEPT = ROOT / "knowledge" / PLANT / "measured.json"
Truth = NDArray[np.int_]  # a cause for each gardener
FITTED, TRIED, SEED = 8000, 4000, 3


def measured(plant: Plant, evidence: Evidence) -> dict[str, Any]:
    """All that goes into the file for one plant."""
    model = fitted(evidence, len(plant.tree.ends))
    letters = scored(evidence)
    kept = {key: value for key, value in asdict(letters).items() if key != "wrong"}
    kept["first_interval"] = wilson(letters.first, letters.decided)
    kept["three_interval"] = wilson(letters.three, letters.decided)
    tree = {
        reader: of_gardeners(model, evidence, crowd(evidence))
        for reader, crowd in (("careful", careful), ("hasty", hasty))
    }
    tree["cases"] = of_cases(model, plant, evidence)
    return {"library_tree": tree, "letters": kept}


def fresh_cases(
    plant: Plant, evidence: Evidence, before: Mapping[str, Any], files: Iterable[str]
) -> dict[str, Any]:
    """For each file of new cases: how many came out when first ranked, and how many now."""
    today = {it: _counted(plant, evidence, it) for it in sorted({*before, *files})}
    return {
        name: {"first_run": before.get(name, {}).get("first_run", now), "now": now}
        for name, now in today.items()
    }


def _counted(plant: Plant, evidence: Evidence, name: str) -> dict[str, int]:
    cases = tuple(case for case in plant.cases if Path(case.file).stem == name)
    found = score_cases(replace(plant, cases=cases), evidence)
    if found is None:
        raise SystemExit(f"no case in a file {name}.yaml")
    told = found.ways[0].score
    shares = {
        "right": told.right, "first": told.first, "three": told.three,
        "also_first": found.also_first, "also_three": found.also_three,
    }  # fmt: skip
    return {
        "count": found.count,
        **{what: round(share * found.count) for what, share in shares.items()},
    }


def fitted(evidence: Evidence, leaves: int) -> DecisionTreeClassifier:
    """Fit on careful gardeners, who tell every sign that can be seen."""
    said, truth = drawn(evidence, careful(evidence), FITTED, SEED)
    model = DecisionTreeClassifier(max_leaf_nodes=leaves, random_state=0)
    return model.fit(one_hot(evidence, said), truth)


def drawn(evidence: Evidence, crowd: Crowd, count: int, seed: int) -> tuple[Table, Truth]:
    """Columns of answers (gardeners x signs, -1 not known) and causes by commonness."""
    draw = np.random.default_rng(seed)
    truth: Truth = draw.choice(len(evidence.causes), size=count, p=evidence.prior)
    said = draw_answers(evidence, crowd, truth, draw)
    walks = at_once(evidence, Gardeners(truth=truth, said=said))
    return columns(evidence, walks), truth


def columns(evidence: Evidence, told: Sequence[Findings]) -> Table:
    """Write what each has told as columns of answers."""
    found = np.full((len(told), len(evidence.signs)), -1)
    places = {name: place for place, name in enumerate(evidence.signs)}
    for row, findings in enumerate(told):
        for sign, answer in findings.items():
            if answer is not None:
                found[row, places[sign]] = evidence.answers[answer][1]
    return found


def one_hot(evidence: Evidence, said: Table) -> Table:
    """Write one column for each answer of each sign: 1 where it was given."""
    return np.column_stack(
        [
            said[:, place] == answer
            for place, sign in enumerate(evidence.signs.values())
            for answer in range(len(sign.answers))
        ]
    )


def of_gardeners(
    model: DecisionTreeClassifier, evidence: Evidence, crowd: Crowd
) -> dict[str, float]:
    """Score the tree on gardeners it has not seen."""
    said, truth = drawn(evidence, crowd, TRIED, SEED + 1)
    return judged(model, evidence, said, truth)


def of_cases(
    model: DecisionTreeClassifier, plant: Plant, evidence: Evidence
) -> dict[str, float]:
    """Score the tree on the worked cases, told with all their findings."""
    cases = [case for case in plant.cases if case.cause in evidence.causes]
    told = [findings_of(evidence, case.findings).findings for case in cases]
    truth = np.array([evidence.causes.index(case.cause) for case in cases])
    return judged(model, evidence, columns(evidence, told), truth)


def judged(
    model: DecisionTreeClassifier, evidence: Evidence, said: Table, truth: Truth
) -> dict[str, float]:
    """Hits and right first steps, judged as our own are, but for steps that ask again."""
    shares = np.zeros((len(said), len(evidence.causes)))
    shares[:, model.classes_] = model.predict_proba(one_hot(evidence, said))
    nothing: Sequence[Findings] = [{}] * len(said)
    found = score(judge(evidence, shares, nothing), np.eye(len(evidence.causes))[truth])
    return {name: round(getattr(found, name), 4) for name in ("right", "first", "three")}


def main() -> int:
    """Measure the plant and write its file."""
    library, problems, _ = read_library(ROOT / "knowledge")
    if library is None:
        print(f"{len(problems)} problems; run the check first")
        return 1
    plant = library.knowledge.plants[PLANT]
    day = date.today().isoformat()  # noqa: DTZ011
    evidence = weigh(plant)
    before = json.loads(KEPT.read_text(encoding="utf-8")).get("fresh_cases", {})
    kept = {
        "measured": day,
        **measured(plant, evidence),
        "fresh_cases": fresh_cases(plant, evidence, before, sys.argv[1:]),
    }
    KEPT.write_text(json.dumps(kept, indent=2) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
