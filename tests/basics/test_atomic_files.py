from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest

from kit.basics.atomic_files import create_private, make_private_folder, sync, write_private

POSIX_ONLY = pytest.mark.skipif(os.name == "nt", reason="Windows keeps rights another way")


def rights(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def refuse(*_):
    raise OSError(errno.ENOSPC, "No space left on device")


def test_a_file_is_written_whole_or_not_at_all(tmp_path, monkeypatch):
    path = tmp_path / "a.txt"
    write_private(path, b"first")
    with monkeypatch.context() as disk:
        disk.setattr(os, "fsync", refuse)
        with pytest.raises(OSError, match="No space"):
            write_private(path, b"second")
    assert path.read_bytes() == b"first"
    assert list(tmp_path.iterdir()) == [path]


def test_whoever_is_interrupted_leaves_no_draft(tmp_path, monkeypatch):
    def stop(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", stop)
    with pytest.raises(KeyboardInterrupt):
        write_private(tmp_path / "a.txt", b"half")
    assert list(tmp_path.iterdir()) == []


@POSIX_ONLY
def test_only_the_owner_may_read_whatever_stood_there_before(tmp_path):
    path = tmp_path / "a.txt"
    path.write_bytes(b"for all")
    path.chmod(0o644)
    before = os.umask(0)
    try:
        write_private(path, b"for one")
        make_private_folder(tmp_path / "new" / "inner")
        create_private(tmp_path / "b.db").close()
    finally:
        os.umask(before)
    assert (path.read_bytes(), rights(path)) == (b"for one", 0o600)
    assert rights(tmp_path / "new") == rights(tmp_path / "new" / "inner") == 0o700
    assert rights(tmp_path / "b.db") == 0o600


@POSIX_ONLY
def test_a_folder_that_is_there_keeps_its_rights(tmp_path):
    (tmp_path / "shared").mkdir()
    (tmp_path / "shared").chmod(0o755)
    make_private_folder(tmp_path / "shared" / "inner")
    assert rights(tmp_path / "shared") == 0o755


def test_a_file_in_the_way_is_said(tmp_path):
    (tmp_path / "a").write_bytes(b"")
    with pytest.raises(FileExistsError):
        make_private_folder(tmp_path / "a")
    with pytest.raises(FileExistsError):
        create_private(tmp_path / "a")


def test_a_disk_that_cannot_keep_a_file_is_said_but_a_folder_need_not(tmp_path, monkeypatch):
    (tmp_path / "a").write_bytes(b"")
    monkeypatch.setattr(os, "fsync", refuse)
    sync(tmp_path)
    with pytest.raises(OSError, match="No space"):
        sync(tmp_path / "a")
