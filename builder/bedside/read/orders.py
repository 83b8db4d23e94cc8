"""Read a file of orders, or say in words why it cannot be read."""

from pathlib import Path

MOST_BYTES = 5_000_000


def read_orders(path: Path) -> bytes | str:
    """The bytes of a file of orders, or what is wrong in words."""
    try:
        if path.stat().st_size > MOST_BYTES:
            return f"more than {MOST_BYTES // 1_000_000} MB: is this the right file?"
        return path.read_bytes()
    except FileNotFoundError:
        return "there is no such file"
    except IsADirectoryError:
        return "this is a folder, and a file is needed"
