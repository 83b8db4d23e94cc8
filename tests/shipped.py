"""The plants that ship, found and not named: only tests/knowledge/ speaks by name."""

from pathlib import Path

KNOWLEDGE = Path(__file__).parents[1] / "knowledge"
PLANTS = sorted(it.parent.name for it in KNOWLEDGE.glob("*/plant.yaml"))
PLANT = PLANTS[0]
