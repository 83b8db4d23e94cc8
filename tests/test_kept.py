"""What is kept is found where it would be made the same, and only there."""

from pathlib import Path

from builder.kept import digest, kept


def test_kept_texts_are_made_once(tmp_path: Path) -> None:
    """The same key gives the same texts without making them; another key makes anew."""
    made: list[str] = []

    def make() -> dict[str, str]:
        made.append("once")
        return {"a": "é"}

    assert kept(tmp_path / "cache", "places-1", make) == {"a": "é"}
    assert kept(tmp_path / "cache", "places-1", make) == {"a": "é"}
    assert len(made) == 1
    kept(tmp_path / "cache", "places-2", make)
    assert len(made) == 2


def test_a_broken_cache_is_made_again(tmp_path: Path) -> None:
    """Half a file, or a list where texts belong, counts as nothing."""
    for text in ('{"a": ', "[1]", '{"a": 1}'):
        kept(tmp_path, "places-1", lambda: {"a": "x"})
        (file,) = tmp_path.glob("*.json")
        file.write_text(text, encoding="utf-8")
        assert kept(tmp_path, "places-1", lambda: {"a": "y"}) == {"a": "y"}


def test_a_cache_that_cannot_be_written(tmp_path: Path) -> None:
    """A file in the folder's place costs time and nothing else."""
    (tmp_path / "cache").write_text("in the way", encoding="utf-8")
    assert kept(tmp_path / "cache", "places-1", lambda: {"a": "x"}) == {"a": "x"}


def test_old_caches_go(tmp_path: Path) -> None:
    """Of each kind only the last few stay."""
    for number in range(6):
        kept(tmp_path, f"places-{number}", lambda: {"a": "x"})
    kept(tmp_path, "calendars-1", lambda: {"a": "x"})
    assert len(list(tmp_path.glob("places-*.json"))) == 3
    assert len(list(tmp_path.glob("calendars-*.json"))) == 1


def test_digests_keep_parts_apart() -> None:
    """Moving a byte from one part to the next gives another name."""
    assert digest([b"ab", b"c"]) != digest([b"a", b"bc"])
