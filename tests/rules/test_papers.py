"""Papers: each has its source and its place, and a kitchen meets the texts of its own land alone."""

import pytest

from kit import rules
from kit.basics.errors import UnknownName
from kit.rules.papers import law_of, paper_laws, paper_sources, papers

SUBJECTS = ("tracing", "label")
EVERY = [
    each
    for law in paper_laws()
    for pack in rules.PACKS
    for s in SUBJECTS
    for each in papers(s, law, pack=pack)
]


def test_every_paper_says_where_it_stands():
    for each in EVERY:
        assert each.source in paper_sources()
        assert each.locator and each.text and each.says.endswith(".")
        assert paper_sources()[each.source].seen or not each.seen, each.id


def test_ids_are_unique_and_every_source_is_used():
    assert len({each.id for each in EVERY}) == len({(each.law, each.text) for each in EVERY})
    assert {each.source for each in EVERY} == set(paper_sources())


@pytest.mark.parametrize("law", paper_laws())
def test_each_law_asks_for_enough_and_leaves_enough(law):
    told = papers("tracing", law)
    assert sum(each.asked for each in told) >= 5 and sum(not each.asked for each in told) >= 4


def test_a_kitchen_stands_under_the_papers_of_its_own_land():
    assert [law_of(rules.load(name)).id for name in ("ie", "uk", "us-retail", "us-processor")] == [
        "eu",
        "eu",
        "us",
        "us",
    ]
    assert law_of(rules.load("codex")) is None
    house = rules.on_top("ie", [{"rule": "ie-store-3", "maximum": 2.5}], where="here")
    assert law_of(house).id == "eu"


def test_an_unknown_law_names_the_known_ones():
    with pytest.raises(UnknownName, match="eu"):
        papers("tracing", "atlantis")


# Implementing Regulation (EU) 931/2011, article 3(1), read in public copies (pig333.com 4854, eumonitor.eu):
# description, volume or quantity, name and address of sender (and owner), of receiver (and consignee),
# a reference of the lot, batch or consignment, the date of dispatch.
def test_tracing_in_the_eu_asks_for_the_points_of_article_3():
    asked = {each.id.removeprefix("eu-trace-") for each in papers("tracing", "eu") if each.asked}
    assert asked == {"what", "how-much", "sender", "receiver", "lot", "day"}
