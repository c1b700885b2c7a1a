"""The ten cases: sound as data, read from sheets with every fault named, and agreement by two other ways."""

from __future__ import annotations

import numpy as np
import pytest
from click.testing import CliRunner
from statsmodels.stats.inter_rater import fleiss_kappa

from kit import criteria
from kit.basics.errors import BadData
from kit.cli import smokehouse
from kit.statistics.invented_cases import (
    RATINGS,
    agreement,
    empty_sheet,
    invented_cases,
    parted,
    read_ratings,
)
from kit.views.tutor.case_page import case_page

krippendorff = pytest.importorskip("krippendorff")
NAMES = [each.id for each in invented_cases()]


def rated(word):
    """``m`` is met, ``n`` not met, a dot a gap."""
    return {name: RATINGS["mn".index(one)] for name, one in zip(NAMES, word, strict=True) if one != "."}


THREE = {"ana": rated("mnnmmnmnmn"), "ben": rated("mnmnmnmnmn"), "cai": rated("mnnnmmm.mn")}


def test_the_cases_are_ten_of_performance_and_shown_whole():
    cases = invented_cases()
    assert len(cases) == len(set(NAMES)) == 10
    assert all(criteria.get(each.criterion).kind == "performance" for each in cases)
    assert sum(bool(each.log) for each in cases) == 3
    page = case_page()
    assert all(each.title in page and f"{each.criterion}: " in page for each in cases)
    assert page.count("<svg") == 3 and "<script" not in page


def test_agreement_is_that_of_two_other_libraries():
    codes = np.array(
        [[RATINGS.index(each[n]) if n in each else np.nan for n in NAMES] for each in THREE.values()]
    )
    kappa, alpha = agreement(THREE)
    assert alpha.n == 10
    # by the package krippendorff, which the kit does not use
    wanted = krippendorff.alpha(reliability_data=codes, level_of_measurement="nominal")
    assert alpha.value == pytest.approx(wanted, abs=1e-9)
    whole = codes[:, ~np.isnan(codes).any(axis=0)].astype(int).T
    counts = np.stack([(whole == code).sum(axis=1) for code in (0, 1)], axis=1)
    assert not kappa.shown and kappa.n == 9  # one gap: nine whole cases are too few to show
    full = agreement(THREE | {"cai": rated("mnnnmmmnmn")})[0]
    eight = np.vstack([counts[:7], [[0, 3]], counts[7:]])
    assert full.value == pytest.approx(fleiss_kappa(eight), abs=1e-9)


def test_where_they_part_is_named_and_one_tutor_is_too_few():
    assert [case.id for case, _ in parted(THREE)] == ["case-03", "case-04", "case-06"]
    with pytest.raises(BadData, match="1 tutor"):
        agreement({"ana": THREE["ana"]})


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "first line"),
        ("case,score\n", "first line"),
        ("case,rating\ncase-77,met\ncase-01,perhaps\ncase-02,met\ncase-02,met\n", "case-77.*perhaps.*twice"),
    ],
)
def test_a_bad_sheet_is_one_line_with_every_fault(tmp_path, text, said):
    (tmp_path / "ana.csv").write_text(text)
    with pytest.raises(BadData, match=said) as refused:
        read_ratings(tmp_path / "ana.csv")
    assert "\n" not in str(refused.value)


def test_from_the_empty_sheet_to_the_figures(tmp_path):
    sheets = []
    for who, ratings in THREE.items():
        sheets.append(tmp_path / f"{who}.csv")
        text = empty_sheet().decode()
        for name, rating in ratings.items():
            text = text.replace(f"{name},", f"{name},{rating}")
        sheets[-1].write_text(text)
        assert read_ratings(sheets[-1]) == ratings
    done = CliRunner().invoke(smokehouse, ["agree", "read", *map(str, sheets)])
    assert (
        "Krippendorff's alpha 0." in done.output
        and "case-06, One bone, no tear: 2 not met, 1 met" in done.output
    )
