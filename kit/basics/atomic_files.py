"""Writing files and folders that only their owner may read, each file whole or not at all."""

import os
from contextlib import suppress
from pathlib import Path
from typing import IO


def write_private(path: Path, data: bytes) -> None:
    """Write a whole file in one step: it is there in full, or not at all. Only its owner may read it.

    Raises
    ------
    OSError
        If the disk refuses. Whatever was at ``path`` before is still there.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_private(Path(folder) / "sheet.pdf", b"...")
    ...     [each.name for each in Path(folder).iterdir()]
    ['sheet.pdf']
    """
    draft = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        with open(draft, "wb", opener=_owner_only) as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(path)
    except BaseException:
        with suppress(OSError):
            draft.unlink()
        raise
    sync(path.parent)


def create_private(path: Path) -> IO[bytes]:
    """Return a new, empty file, open to write and read. Only its owner may read it.

    Raises
    ------
    OSError
        If there is something at ``path`` already, or the disk refuses.
    """
    return open(path, "x+b", opener=_owner_only)


def make_private_folder(folder: Path) -> None:
    """Make a folder that only its owner can enter, and those missing above it; leave others as they are.

    Raises
    ------
    OSError
        If a file stands in the way, or the disk refuses.
    """
    for each in (*reversed(folder.parents), folder):
        if not each.is_dir():
            each.mkdir(mode=0o700, exist_ok=True)


def sync(path: Path) -> None:
    """Wait until a file or folder is on the disk. Some systems do not allow it for folders.

    Raises
    ------
    OSError
        If the disk refuses for a file.
    """
    try:
        handle = os.open(path, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        if path.is_file():
            raise
    finally:
        os.close(handle)


def _owner_only(name: str, flags: int) -> int:
    return os.open(name, flags, 0o600)
