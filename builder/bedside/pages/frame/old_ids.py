"""Ids in links of long ago: what became of each."""

from typing import Any

from bedside.model.published_addresses import promised_of
from bedside.pages.frame.desk import PlantDesk, Site


def old_ids(site: Site, desk: PlantDesk) -> dict[str, Any]:
    """Ids of old links: where they are now, and those that nothing asks about any more."""
    promised = promised_of(site.library)
    id_ = desk.plant.id
    return {
        "moved": promised.heirs(id_),
        "ended": sorted(promised.ended_answers.get(id_, {})),
    }
