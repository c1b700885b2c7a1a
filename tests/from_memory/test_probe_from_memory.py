"""A value within limits, as the guide to uncertainty works it out. From memory: the guide was not at hand."""

import pytest

from kit.process.physics.probe_check import FOR_95_PCT, expanded_of_limits


# JCGM 100:2008, 4.3.7, example, from memory: copper between 16.40 and 16.92, so within 0.26 of the middle;
# its standard uncertainty is 0.15.
def test_anywhere_within_limits():
    assert expanded_of_limits((16.92 - 16.40) / 2) / FOR_95_PCT == pytest.approx(0.15, abs=0.001)
