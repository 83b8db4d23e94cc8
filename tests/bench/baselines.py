"""The tree of questions beside two baselines: a tree fitted by a library, and no order.

    python tests/bench/baselines.py [knowledge folder]

Both baselines see gardeners drawn from the evidence table. scikit-learn's tree is fitted
on some and tried on others, with as many leaves as the authored tree has questions and
ends; "no order" asks signs at random, as many as the authored tree asks on average.
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np
from sklearn.tree import DecisionTreeClassifier

from builder.assemble import read_library
from builder.model import Plant
from builder.reason.evidence import Evidence, Table, weigh
from builder.reason.quality import measure
from builder.reason.ranking import rank
from builder.reason.readers import Crowd, careful, hasty
from builder.reason.sampling import draw_answers

FITTED, TRIED, SEED = 8000, 2000, 3


def drawn(evidence: Evidence, crowd: Crowd, count: int, seed: int) -> tuple[Table, Table]:
    """Columns of answers (gardeners x signs, -1 unknown) and true causes by commonness."""
    draw = np.random.default_rng(seed)
    truth = draw.choice(len(evidence.causes), size=count, p=evidence.prior)
    said = draw_answers(evidence, crowd, truth, draw)
    return np.column_stack([said[name] for name in evidence.signs]), truth


def one_hot(evidence: Evidence, columns: Table) -> Table:
    return np.column_stack(
        [
            columns[:, place] == answer
            for place, sign in enumerate(evidence.signs.values())
            for answer in range(len(sign.answers))
        ]
    )


def fitted_tree(evidence: Evidence, crowd: Crowd, leaves: int) -> float:
    seen, causes = drawn(evidence, careful(evidence), FITTED, SEED)
    model = DecisionTreeClassifier(max_leaf_nodes=leaves, random_state=0)
    model.fit(one_hot(evidence, seen), causes)
    new, truth = drawn(evidence, crowd, TRIED, SEED + 1)
    return float(model.score(one_hot(evidence, new), truth))


def no_order(evidence: Evidence, crowd: Crowd, looks: int) -> float:
    """First hits if as many signs, of those that can be asked first, are drawn."""
    columns, truth = drawn(evidence, crowd, TRIED, SEED + 1)
    draw = np.random.default_rng(SEED)
    free = [place for place, sign in enumerate(evidence.signs.values()) if not sign.needs]
    signs = list(evidence.signs.values())
    hits = 0
    for row, cause in zip(columns, truth, strict=True):
        asked = draw.choice(free, size=min(looks, len(free)), replace=False)
        found = {signs[p].id: signs[p].answers[row[p]] for p in asked if row[p] >= 0}
        hits += rank(evidence, found).top == evidence.causes[cause]
    return hits / len(truth)


def show(plant: Plant, evidence: Evidence) -> None:
    quality = measure(plant, {})
    pages = quality.questions + quality.ends
    print(
        f"{plant.id}: first hits by commonness, {TRIED} drawn gardeners for the baselines"
    )
    for reader, crowd in zip(quality.readers, (careful, hasty), strict=True):
        looks = round(reader.looks)
        fitted = fitted_tree(evidence, crowd(evidence), pages)
        unordered = no_order(evidence, crowd(evidence), looks)
        print(f"  {reader.reader} gardener")
        print(f"    authored tree              {reader.tree.common.first:.3f}")
        print(f"    library's tree, {pages:3} leaves {fitted:.3f}")
        print(f"    no order, {looks} looks          {unordered:.3f}")
        print(f"    commonest cause            {evidence.prior.max():.3f}")


def main() -> int:
    here = Path(__file__).parents[2] / "knowledge"
    library, problems, _ = read_library(Path(sys.argv[1]) if len(sys.argv) > 1 else here)
    if library is None:
        print(f"{len(problems)} problems; run the check first")
        return 1
    for plant in library.knowledge.plants.values():
        show(plant, weigh(plant))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
