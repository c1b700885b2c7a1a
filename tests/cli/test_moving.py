"""A person moves kitchen by the commands a tutor types."""

from __future__ import annotations

import pytest

from kit.basics.errors import BadData
from kit.cli.tutor import record
from tests.cli.typed import run

SEEN = ("--met", "RIN-P01", "--batch", "B-1", "--declared")


def test_a_record_is_given_and_what_is_its_own_brings_nothing_new(desk, tmp_path):
    run(record.command, "observe", "Tam", "rinse", *SEEN, "--as", "Osric")
    file = tmp_path / "tam.record"
    with pytest.raises(BadData, match="no name here"):
        run(record.command, "give", "Tam", str(file), "--as", "Osric")
    said = run(record.command, "give", "Tam", str(file), "--from", "Quay House", "--as", "Osric")
    assert "1 act about Tam" in said
    key = said.rsplit(": ", 1)[1].strip()
    with pytest.raises(BadData, match="only itself knows"):
        run(record.command, "bring", str(file), "Tam", "--as", "Osric")
    said = run(record.command, "bring", str(file), "Tam", "--signed-by", key, "--as", "Osric")
    assert "0 acts of Quay House kept as seen elsewhere, 1 here before." in said
    assert "0 acts seen elsewhere." in run(record.command, "elsewhere", "Tam")
    assert "the chain is whole" in run(record.command, "check")
