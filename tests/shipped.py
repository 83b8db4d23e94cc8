"""The first plant that ships, found and not named: only tests/knowledge/ speaks by name."""

from pathlib import Path

KNOWLEDGE = Path(__file__).parents[1] / "knowledge"
PLANT = min(it.parent.name for it in KNOWLEDGE.glob("*/plant.yaml"))
