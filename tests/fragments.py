"""Findings out of an address, as the scripts read them."""

from bedside.reason.evidence import Evidence
from bedside.reason.findings import Parsed, findings_of


def parse_fragment(evidence: Evidence, text: str) -> Parsed:
    """Read the findings out of the fragment of an address, with or without its `#`."""
    tokens = text.removeprefix("#").split(".")
    return findings_of(evidence, [token for token in tokens if token])
