"""`agree judge` and `own`, `record sample` and `moderate`: who judges looks at themselves and others."""

from __future__ import annotations

import pytest

from kit.basics.errors import BadData
from kit.cli.tutor import agree, record
from kit.records.ledger.acts import NotAllowed
from kit.statistics.invented_cases import empty_sheet, invented_cases
from tests.cli.test_record import observe
from tests.cli.typed import run

CASES = [each.id for each in invented_cases()]


def sheet(folder, name, not_met=()):
    text = empty_sheet().decode()
    for case in CASES:
        text = text.replace(f"{case},", f"{case},{'not met' if case in not_met else 'met'}")
    (folder / f"{name}.csv").write_text(text)
    return folder / f"{name}.csv"


@pytest.mark.slow
def test_each_judges_alone_and_then_sees_only_how_they_stand(desk, tmp_path):
    said = run(agree.command, "own", "--as", "Osric")
    assert "0 tutors judged them. Judge them alone first" in said
    for name, not_met in (("Osric", ["case-04"]), ("Wilma", []), ("Ines", [])):
        told = run(agree.command, "judge", sheet(tmp_path, name, not_met), "--as", name)
        assert "Recorded as act" in told
    said = run(agree.command, "own", "--as", "Osric")
    assert "You said the same as most of 2 others in 9 of 10 cases." in said
    assert "Fleiss' kappa" in said and "Krippendorff's alpha" in said
    assert "A chill at the edge: you not met; others 2 met. You part." in said
    assert "Wilma" not in said and "Ines" not in said
    with pytest.raises(NotAllowed, match="judged once, alone"):
        run(agree.command, "judge", sheet(tmp_path, "Osric"), "--as", "Osric")


@pytest.mark.slow
def test_a_verifiers_list_and_a_finding_that_is_signed(desk):
    for day in ("2026-10-30", "2026-11-01", "2026-11-02"):
        observe(day=day)
    reason = ("--reason", "Two good batches.")
    said = run(record.command, "decide", "Tam", "RIN-P01", "competent", *reason, "--as", "Osric")
    number = said.split("act ")[1].split(".")[0]
    listed = run(record.command, "sample", "--as", "Ines")
    assert (
        f"act {number}" in listed and "a second signature is wanted" in listed and "1 thing. Rule" in listed
    )
    with pytest.raises(NotAllowed, match="needs a verifier"):
        run(record.command, "moderate", number, "sound", *reason, "--as", "Wilma")
    opened = run(record.command, "moderate", number, "look again", *reason, "--as", "Ines")
    assert opened.count("Recorded as act") == 2
    with pytest.raises(BadData, match=r"looked at before|not in the sample"):
        run(record.command, "moderate", number, "sound", *reason, "--as", "Ines")
