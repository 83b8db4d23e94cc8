"""A few pages of the invented plant, kept as files: a change of a page shows as a diff.

After a change that is meant: `UPDATE_GOLDEN=1 python -m pytest tests/pages/test_golden.py`,
then read the diff like code. Styles and hashes are left out; they have tests of their own.
"""

import os
import re
from dataclasses import replace
from pathlib import Path

import pytest

from bedside.model.library import Library
from bedside.pages.all_pages import all_assets, all_pages
from bedside.pages.frame.assets import bundle
from bedside.pages.frame.desk import site
from bedside.read.theme import read_theme

ROOT = Path(__file__).parents[2]
KEPT = Path(__file__).parents[1] / "cases" / "golden"
PAGES = (
    "mossbell/trace/",
    "mossbell/result/bell-moth/",
    "mossbell/result/dust-spot/soil-wet/",
    "mossbell/result/new-leaf/",
    "mossbell/result/",
    "causes/dust-spot/",
    "controls/soap-spray/",
    "causes/",
    "emergencies/",
)


@pytest.fixture(scope="module")
def made(toy: Library) -> dict[str, str]:
    theme = read_theme(ROOT)
    desk = site(toy, theme, bundle(theme.assets))
    desk = replace(desk, templates=desk.templates.knowing(all_assets(desk)))
    return {page.address: plain(page.html) for page in all_pages(desk)}


def plain(html: str) -> str:
    """Leave out what changes with every touch of a style or script."""
    html = re.sub(r"<style>.*?</style>", "", html, flags=re.DOTALL)
    html = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", html)
    html = re.sub(r"\?v=[0-9a-f]{8}", "", html)
    return re.sub(r"\n\s*\n+", "\n", html).strip() + "\n"


@pytest.mark.parametrize("address", PAGES)
def test_a_page_is_as_it_was(made: dict[str, str], address: str) -> None:
    """The page is the same text as the one that was read and kept."""
    file = KEPT / f"{address.strip('/').replace('/', '--')}.html"
    if os.environ.get("UPDATE_GOLDEN"):
        KEPT.mkdir(parents=True, exist_ok=True)
        file.write_text(made[address], encoding="utf-8")
    assert made[address] == file.read_text(encoding="utf-8")
