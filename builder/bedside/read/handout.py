"""The record of what the sheet in the box says, out of a library."""

from bedside.model.handout import Handout
from bedside.model.library import Library
from bedside.read.assemble import make

FILE = "handout.yaml"


def handout_of(library: Library, plant: str) -> Handout | None:
    """Give the sheet of a plant, or nothing if the grower wrote none."""
    file = f"{plant}/{FILE}"
    document = library.documents.get(file)
    return make(Handout, document.data, file=file) if document else None
