"""What is kept is found where it would be made the same, and only there."""

from collections.abc import Mapping
from pathlib import Path

import pytest

from bedside import cache
from bedside.cache import Kept, digest


class Maker:
    """Makes contents and remembers which."""

    def __init__(self) -> None:
        self.made: list[str] = []

    def __call__(self, names: tuple[str, ...]) -> Mapping[str, bytes]:
        self.made += names
        return {name: f"\n{name}".encode() for name in names if name != "odd"}


@pytest.fixture
def make() -> Maker:
    return Maker()


def test_a_content_is_made_once(tmp_path: Path, make: Maker) -> None:
    """The same key gives the same content without making it, also to a later build."""
    found = Kept(tmp_path / "cache").all("sheets", {"a": "1", "b": "2"}, make)
    assert found == {"a": b"\na", "b": b"\nb"}
    assert Kept(tmp_path / "cache").all("sheets", {"b": "2", "a": "1"}, make) == found
    assert make.made == ["a", "b"]


def test_only_what_changed_is_made(tmp_path: Path, make: Maker) -> None:
    """Another key makes its own content anew and leaves the others."""
    Kept(tmp_path).all("sheets", {"a": "1", "b": "2"}, make)
    Kept(tmp_path).all("sheets", {"a": "1", "b": "3"}, make)
    assert make.made == ["a", "b", "b"]


def test_without_a_folder_it_is_kept_for_a_while(make: Maker) -> None:
    """What has no folder keeps in memory, and forgets with the object."""
    both = Kept()
    for holder in (both, both, Kept()):
        assert holder.all("sheets", {"a": "1"}, make) == {"a": b"\na"}
    assert make.made == ["a", "a"]


@pytest.mark.parametrize("folder", [True, False])
def test_kinds_are_apart(tmp_path: Path, make: Maker, folder: bool) -> None:
    """The same key of another kind is another content."""
    both = Kept(tmp_path if folder else None)
    both.all("sheets", {"a": "1"}, make)
    both.all("keys", {"a": "1"}, make)
    assert make.made == ["a", "a"]


def test_what_has_no_content_is_asked_for_again(tmp_path: Path, make: Maker) -> None:
    """A sheet that was refused is not in the answer, and is tried again."""
    for _ in range(2):
        assert Kept(tmp_path).all("sheets", {"odd": "1"}, make) == {}
    assert make.made == ["odd", "odd"]


def test_one_content(tmp_path: Path) -> None:
    """A single content needs no name."""
    assert Kept(tmp_path).one("keys", "1", lambda: b"first") == b"first"
    assert Kept(tmp_path).one("keys", "1", lambda: b"second") == b"first"


def test_other_code_finds_nothing(
    tmp_path: Path, make: Maker, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After a change in the builder's own code everything is made anew."""
    for code in ("one", "other", "one"):
        monkeypatch.setattr(cache, "_code", lambda code=code: code)
        Kept(tmp_path).all("sheets", {"a": "1"}, make)
    assert make.made == ["a", "a"]


def test_the_name_of_the_code_changes_with_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One byte in one module, or another release of what it stands on, is another name."""
    monkeypatch.setattr(cache, "OWN_CODE", tmp_path)
    (tmp_path / "part").mkdir()
    module, names = tmp_path / "part" / "one.py", []
    for text, release in (("a = 1", "1"), ("a = 2", "1"), ("a = 2", "2")):
        module.write_text(text, encoding="utf-8")
        monkeypatch.setattr(cache, "version", lambda _, release=release: release)
        cache._code.cache_clear()
        names.append(cache._code())
    cache._code.cache_clear()
    assert len(set(names)) == 3


@pytest.mark.parametrize("broken", [b"", b"x", b"00\n\na", b"\na"])
def test_a_broken_file_is_made_again(tmp_path: Path, make: Maker, broken: bytes) -> None:
    """Half a file, or one that somebody wrote into, counts as nothing."""
    Kept(tmp_path).all("sheets", {"a": "1"}, make)
    (file,) = (tmp_path / "sheets").iterdir()
    file.write_bytes(broken)
    assert Kept(tmp_path).all("sheets", {"a": "1"}, make) == {"a": b"\na"}
    assert make.made == ["a", "a"]


def test_a_cache_that_cannot_be_written(tmp_path: Path, make: Maker) -> None:
    """A file in the folder's place costs time and nothing else."""
    (tmp_path / "cache").write_text("in the way", encoding="utf-8")
    assert Kept(tmp_path / "cache").all("sheets", {"a": "1"}, make) == {"a": b"\na"}


def test_the_oldest_go(
    tmp_path: Path, make: Maker, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A kind has at most so many files."""
    monkeypatch.setattr(cache, "MOST", 3)
    for number in range(6):
        Kept(tmp_path).all("sheets", {str(number): str(number)}, make)
    Kept(tmp_path).all("keys", {"a": "1"}, make)
    assert len(list((tmp_path / "sheets").iterdir())) == 3
    assert len(list((tmp_path / "keys").iterdir())) == 1


def test_digests_keep_parts_apart() -> None:
    """Moving a byte from one part to the next gives another name."""
    assert digest([b"ab", b"c"]) != digest([b"a", b"bc"])
