"""Put a new folder in the place of an old one, so that no moment is without a whole one.

Linux and macOS exchange two folders in one call of the system (`renameat2` with
RENAME_EXCHANGE, Linux 3.15; `renamex_np` with RENAME_SWAP, macOS 10.12). Elsewhere there
are two renames with a moment between them; what was interrupted there is put right by the
next call of `recover`.
"""

import ctypes
import os
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

AT_FDCWD = -100
RENAME_EXCHANGE = 2
RENAME_SWAP = 2


def swap(fresh: Path, out: Path) -> None:
    """Let `fresh` take the place of `out`, and remove what was there."""
    if not out.exists():
        fresh.rename(out)
    elif exchanged(fresh, out):
        remove(fresh)
    else:
        _two_renames(fresh, out)


def recover(out: Path) -> None:
    """Put back an old folder that an interrupted swap left aside; remove what it left."""
    old = aside(out)
    if old.exists() and not out.exists():
        old.rename(out)
    remove(old)


def remove(folder: Path) -> None:
    """Remove a folder, if it is there."""
    if folder.exists():
        shutil.rmtree(folder)


def aside(out: Path) -> Path:
    """Where the old folder waits between two renames."""
    return out.with_name(f".{out.name}.old")


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
    recover(out)
    out.rename(aside(out))
    fresh.rename(out)
    remove(aside(out))
