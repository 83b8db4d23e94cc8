"""The plant that ships, found and not named: only tests/knowledge/ speaks of it by name."""

from pathlib import Path

KNOWLEDGE = Path(__file__).parents[1] / "knowledge"
(PLANT,) = (it.parent.name for it in KNOWLEDGE.glob("*/plant.yaml"))
