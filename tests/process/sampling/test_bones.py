"""Bones: the sums behind pulling and looking, and every way to ask them wrongly."""

import numpy as np
import pytest
from scipy import stats

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.process.sampling import bones

# Probability, by arithmetic: each of 28 (or 30) bones survives with q = (1 - pull)(1 - find)^looks.
LEFT = [  # bones, pull, find, looks, chance of a bone-free fillet
    (28, 0.97, 0.8, 0, 0.4262),
    (28, 0.97, 0.8, 1, 0.8449),
    (28, 0.97, 0.8, 2, 0.9669),
    (28, 0.99, 0.8, 1, 0.9455),
    (30, 0.97, 0.9, 1, 0.9138),
]


@pytest.mark.parametrize(("count", "pull", "find", "looks", "free"), LEFT)
def test_a_fillet_is_bone_free_as_the_arithmetic_says(count, pull, find, looks, free):
    assert bones.bone_free_fillet(count, bones.still_there(pull, find, looks)) == pytest.approx(
        free, abs=5e-5
    )


def test_a_batch_multiplies_its_fillets():
    q = bones.still_there(0.97, 0.8, 1)
    assert bones.bone_free_batch([28, 30, 26], q) == pytest.approx((1 - q) ** 84)


@pytest.mark.parametrize("looks", [0, 1, 2, 5])
@pytest.mark.parametrize("correlation", [0.05, 0.3, 0.9])
def test_correlated_misses_are_the_beta_binomial_of_scipy(looks, correlation):
    find = 0.7
    spread = (1 - correlation) / correlation
    expected = stats.betabinom.pmf(0, looks, find * spread, (1 - find) * spread) if looks else 1.0
    assert bones.chance_missed(find, looks, correlation=correlation) == pytest.approx(expected, rel=1e-9)


def test_a_hidden_bone_is_hidden_twice():
    # Common practice, no source: after machine pin-boning a careful hand still finds one or two bones in a
    # few fillets. Independent looks would leave next to nothing; correlated looks leave what hands find.
    fresh = bones.still_there(0.97, 0.8, 3)
    alike = bones.still_there(0.97, 0.8, 3, correlation=0.4)
    assert 28 * 4 * fresh < 0.03 < 28 * 4 * alike
    assert alike > 6 * fresh


def test_correlation_ends_at_fresh_tries_and_at_one_look():
    assert bones.chance_missed(0.8, 3, correlation=0) == pytest.approx(0.2**3)
    assert bones.chance_missed(0.8, 3, correlation=1) == pytest.approx(0.2)
    assert bones.chance_missed(0.8, 3, correlation=1e-7) == pytest.approx(0.2**3, rel=1e-4)
    assert bones.chance_missed(1.0, 2, correlation=0.5) == 0
    assert bones.chance_missed(0.0, 2, correlation=0.5) == 1
    assert bones.chance_missed(0.8, 0, correlation=1) == 1


def test_more_correlation_never_helps():
    missed = bones.chance_missed(0.6, 4, correlation=np.linspace(0, 1, 21))
    assert np.all(np.diff(missed) > 0)


def test_bones_left_is_the_binomial():
    left = bones.bones_left(28, 0.03)
    assert left.chance == pytest.approx(stats.binom.pmf(np.arange(29), 28, 0.03), abs=1e-12)
    assert left.chance.sum() == pytest.approx(1)
    assert bones.bones_left(0, 0.5).chance.tolist() == [1.0]


def test_own_counts_give_mean_and_spread():
    mine = bones.count_pin_bones([28, 30, 26])
    assert (mine.mean, mine.standard_deviation) == (28, 2)
    assert np.isnan(bones.count_pin_bones(28).standard_deviation)


def test_typical_counts_say_that_nobody_proved_them():
    for fish in bones.TYPICAL_PIN_BONES:
        typical = bones.typical_pin_bones(fish)
        assert 0 < typical.low < typical.high <= 60
        assert not typical.primary_source
        assert "count your own" in typical.note.lower()


LIMITS = {
    "counted_length_mm": 10,
    "counted_diameter_mm": 1,
    "ignored_length_mm": 5,
    "ignored_diameter_mm": 2,
    "allowed_per_kg": 1,
}


@pytest.mark.parametrize(
    ("length", "diameter", "counted"),
    [(10, 0.2, 1), (9.9, 0.9, 0), (6, 1.0, 1), (5, 1.5, 0), (5, 2.1, 1), (12, 3, 1), (2, 0.1, 0)],
)
def test_a_bone_counts_by_length_or_by_diameter_unless_it_is_tiny(length, diameter, counted):
    assert bones.bone_defects(length, diameter, 1.0, **LIMITS).counted == counted


def test_the_limit_itself_is_not_yet_a_defect():
    assert not bones.bone_defects([12], [0.5], 1.0, **LIMITS).defective
    assert bones.bone_defects([12, 12], [0.5, 0.5], 1.9, **LIMITS).defective
    assert bones.bone_defects([], [], 1.0, **LIMITS).counted == 0


BAD = [
    (lambda: bones.still_there(97, 0.8), "share, not a percentage"),
    (lambda: bones.still_there(float("nan"), 0.8), "pull is nan"),
    (lambda: bones.chance_missed(0.8, 1.5), "whole number"),
    (lambda: bones.chance_missed(0.8, 1, correlation=-0.1), "correlation is -0.1"),
    (lambda: bones.chance_missed(float("nan"), 1), "find is nan"),
    (lambda: bones.bone_free_fillet(-1, 0.1), "bones is -1"),
    (lambda: bones.bone_free_fillet(28, float("nan")), "q is nan"),
    (lambda: bones.bone_free_batch([28, float("nan")], 0.1), "counts is nan"),
    (lambda: bones.bones_left(61, 0.1), "bones is 61"),
    (lambda: bones.count_pin_bones([17, 61]), "whole fish"),
    (lambda: bones.bone_defects([12], [0.5], 0, **LIMITS), "sample_kg is 0"),
    (lambda: bones.bone_defects([-1], [0.5], 1, **LIMITS), "lengths_mm is -1"),
]


@pytest.mark.parametrize(("call", "words"), BAD)
def test_a_number_outside_its_range_is_refused_with_the_likely_cause(call, words):
    with pytest.raises(OutOfRange, match=words):
        call()


def test_bad_shapes_and_names_are_refused():
    with pytest.raises(BadData, match="2 lengths but 1 diameters"):
        bones.bone_defects([1, 2], [1], 1, **LIMITS)
    with pytest.raises(BadData, match="there is none"):
        bones.count_pin_bones([])
    with pytest.raises(UnknownName, match="rainbow trout"):
        bones.typical_pin_bones("rainbow truot")
