"""Put a new folder in the place of an old one, so that no moment is without a whole one.

Linux and macOS exchange two folders in one call of the system (`renameat2` with
RENAME_EXCHANGE, Linux 3.15; `renamex_np` with RENAME_SWAP, macOS 10.12). Elsewhere there
are two renames with a moment between them and a way back; what was killed there is put
right by the next build. Builds into one folder wait for each other.
"""

import ctypes
import os
import secrets
import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

AT_FDCWD = -100
RENAME_EXCHANGE = 2
RENAME_SWAP = 2


@contextmanager
def fresh_folder(out: Path, waits: Callable[[], None]) -> Iterator[Path]:
    """Name a folder beside `out` for one build alone; nobody else writes there meanwhile.

    `waits` is called where another build has to end first. What a killed build left is
    removed, and so is the folder itself if nothing took it.
    """
    with _alone(out, waits) as alone:
        if alone:
            _recover(out)
        fresh = out.with_name(f".{out.name}.new-{secrets.token_hex(4)}")
        try:
            yield fresh
        finally:
            _remove(fresh)


def swap(fresh: Path, out: Path) -> None:
    """Let `fresh` take the place of `out`; on any failure `out` is as it was."""
    if not out.exists():
        fresh.rename(out)
    elif not exchanged(fresh, out):
        _two_renames(fresh, out)


def _recover(out: Path) -> None:
    old = aside(out)
    if old.exists() and not out.exists():
        old.rename(out)
    _remove(old)
    for left in out.parent.glob(f".{out.name}.new-*"):
        _remove(left)


def _remove(folder: Path) -> None:
    # What can't be removed now is removed by the next build; the site itself is whole.
    shutil.rmtree(folder, ignore_errors=True)


def aside(out: Path) -> Path:
    """Where the old folder waits between two renames."""
    return out.with_name(f".{out.name}.old")


@contextmanager
def _alone(out: Path, waits: Callable[[], None]) -> Iterator[bool]:
    # A lock of the system ends with its process, so a killed build locks nobody out.
    out.parent.mkdir(parents=True, exist_ok=True)
    if sys.platform == "win32":
        with out.with_name(f".{out.name}.lock").open("wb") as file:
            msvcrt.locking(file.fileno(), msvcrt.LK_LOCK, 1)
            yield True
        return
    # The folder that holds both is locked itself: no file is left behind.
    place = os.open(out.parent, os.O_RDONLY)
    try:
        yield _locked(place, waits)
    finally:
        os.close(place)


def _locked(place: int, waits: Callable[[], None]) -> bool:
    try:
        fcntl.flock(place, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        waits()
        fcntl.flock(place, fcntl.LOCK_EX)
    except OSError:
        return False  # a disk that knows no locks: each build still has a name of its own
    return True


def exchanged(one: Path, other: Path) -> bool:
    """Exchange two paths in one step; tell whether the system can."""
    call = _exchange_call()
    return call is not None and call(os.fsencode(one), os.fsencode(other)) == 0


def _exchange_call() -> Callable[[bytes, bytes], int] | None:
    library: Any = ctypes.CDLL(None) if os.name == "posix" else None
    if sys.platform == "linux" and hasattr(library, "renameat2"):
        rename = library.renameat2
        return lambda one, other: int(
            rename(AT_FDCWD, one, AT_FDCWD, other, RENAME_EXCHANGE)
        )
    if sys.platform == "darwin" and hasattr(library, "renamex_np"):
        rename_mac = library.renamex_np
        return lambda one, other: int(rename_mac(one, other, RENAME_SWAP))
    return None


def _two_renames(fresh: Path, out: Path) -> None:
    out.rename(aside(out))
    try:
        fresh.rename(out)
    except OSError:
        aside(out).rename(out)
        raise
    _remove(aside(out))
