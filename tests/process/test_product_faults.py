"""Faults of the piece: one setting wrong makes one mark, on every fish; the card itself makes none."""

import dataclasses

import pytest

from kit.basics.errors import UnknownName
from kit.process.day import BatchCard
from kit.process.product_faults import (
    PRODUCT_FAULTS,
    causes_found,
    made_with,
    piece_record,
    product_fault,
)

CARDS = [
    BatchCard(core_target_c=64, chill_target_c=3, species=species, thickness_mm=mm)
    for species in ("salmon, farmed", "trout, farmed")
    for mm in (20.0, 30.0)
]
MEANT = {card: piece_record(made_with(card)) for card in CARDS}


@pytest.mark.parametrize("card", CARDS, ids=lambda card: f"{card.species} {card.thickness_mm:g}")
@pytest.mark.parametrize("name", PRODUCT_FAULTS)
def test_a_fault_leaves_its_own_mark_and_no_other(card, name):
    found = causes_found(piece_record(made_with(card, name)), MEANT[card])
    assert found == (() if name == "blood spots" else (name,))


@pytest.mark.parametrize("card", CARDS, ids=lambda card: f"{card.species} {card.thickness_mm:g}")
def test_a_day_as_meant_carries_no_mark(card):
    assert causes_found(MEANT[card], MEANT[card]) == ()


@pytest.mark.parametrize("name", PRODUCT_FAULTS)
def test_at_most_one_setting_is_changed(name):
    card = CARDS[0]
    done = PRODUCT_FAULTS[name].change(card)
    changed = [
        each.name for each in dataclasses.fields(card) if getattr(card, each.name) != getattr(done, each.name)
    ]
    assert len(changed) == (0 if name == "blood spots" else 1)


def test_an_unknown_fault_names_the_known_ones():
    with pytest.raises(UnknownName, match="streaks"):
        product_fault("freckles")


# Torry Advisory Note 14 (FAO x5895e), read in a stored copy: dried blood shows a lack of care in preparing
# the raw fish; white crystals of salt, fish too heavily brined.
def test_blood_and_salt_are_told_as_torry_tells_them():
    assert product_fault("blood spots").source == product_fault("salt burn").source == "fao-torry-14"
    assert "washed out" in product_fault("blood spots").cause
    assert "salt" in product_fault("salt burn").cause
