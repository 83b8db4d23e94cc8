"""The real season, read without the rest of the knowledge, and a small made-up place."""

from functools import cache
from pathlib import Path

import numpy as np

from bedside.model.season import DAYS, Frost, Place, SeasonKnowledge
from bedside.read.season import read_season
from bedside.reason.daily_normals import warmed, warmth_of
from tests.conftest import read_clean

KNOWLEDGE = Path(__file__).parents[1] / "knowledge"


@cache
def real_season() -> SeasonKnowledge:
    """Everything in knowledge/season."""
    season, problems = read_season(KNOWLEDGE, read_clean(KNOWLEDGE))
    assert not problems
    assert season is not None
    return warmed(season)


def steady_place(per_day: float, frost: Frost, state: str = "NC") -> Place:
    """A place where every day brings the same warmth."""
    return Place(
        id="anywhere", name="Anywhere", state=state, lat=35.0, lon=-80.0, elevation_m=100,
        frost=frost, warmth=warmth_of(np.full(DAYS, per_day)),
    )  # fmt: skip
