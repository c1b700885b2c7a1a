import os
import stat

import pytest

from kit import rules
from kit.basics.errors import BadData, UnknownName
from kit.files import NotSaved
from kit.files.joined_kitchen import RuleShelf, held, join, joined, place, remember
from kit.files.kitchen_file import KeyHolder, make_kitchen, write_kitchen
from kit.files.signing import make_key, unseal_key


@pytest.fixture(scope="module")
def mara():
    sealed, _ = make_key("smoke over alder", cost=2**14)
    return unseal_key(sealed, "smoke over alder")


def build(mara, maximum=2.5, **more):
    keys = [KeyHolder("tutor", "Mara Quill", mara.public)]
    tighter = ({"rule": "ie-store-3", "maximum": maximum},)
    name = more.pop("name", "Harbour Lane")
    return make_kitchen(name, profile="ie", keys=keys, signer=mara, tighter=tighter, **more)


@pytest.fixture
def file(tmp_path):
    def write(kitchen):
        path = tmp_path / f"{kitchen.fingerprint()}.toml"
        write_kitchen(path, kitchen)
        return path

    return write


def test_a_first_join_keeps_the_file_for_its_owner_alone(mara, file, throw_away_home):
    kitchen = build(mara)
    assert joined() is None and held() == ()
    assert join(file(kitchen)) == (kitchen, None)
    assert joined() == kitchen and held() == (kitchen,)
    if os.name != "nt":
        assert stat.S_IMODE(place().stat().st_mode) == 0o600
    assert place() == throw_away_home / "kitchen.toml"


def test_the_same_file_again_changes_nothing(mara, file):
    kitchen = build(mara)
    join(file(kitchen))
    before = place().stat().st_mtime_ns
    assert join(file(kitchen)) == (kitchen, kitchen)
    assert place().stat().st_mtime_ns == before


def test_a_later_version_takes_its_place_and_an_older_is_refused(mara, file):
    first = build(mara)
    second = build(mara, maximum=2, before=first)
    join(file(first))
    assert join(file(second)) == (second, first)
    assert joined() == second and held() == (second, first)
    for replace in (False, True):
        with pytest.raises(BadData, match="older than version 2"):
            join(file(first), replace=replace)
    assert joined() == second


def test_another_kitchen_needs_replace_and_the_old_one_does_not_come_back_older(mara, file):
    first, quay = build(mara), build(mara, name="Quay Lane")
    second = build(mara, before=first)
    join(file(first))
    join(file(second))
    with pytest.raises(BadData, match=r"another kitchen, Harbour Lane\. .*--replace"):
        join(file(quay))
    assert joined() == second
    assert join(file(quay), replace=True) == (quay, second)
    with pytest.raises(BadData, match="older than version 2"):
        join(file(first), replace=True)
    assert join(file(second), replace=True) == (second, quay)


def test_a_damaged_file_here_is_never_taken_for_no_kitchen(mara, file):
    kitchen = build(mara)
    join(file(kitchen))
    place().write_text(place().read_text().replace("2.5", "3.0"))
    with pytest.raises(BadData, match="changed after it was signed"):
        joined()
    with pytest.raises(BadData, match="--replace"):
        join(file(kitchen))
    assert join(file(kitchen), replace=True) == (kitchen, None)
    assert joined() == kitchen


def test_a_file_that_cannot_stand_leaves_everything_as_it_was(mara, file, tmp_path):
    kitchen = build(mara)
    join(file(kitchen))
    bad = tmp_path / "bad.toml"
    bad.write_text(place().read_text().replace("Harbour", "Quayside"))
    with pytest.raises(BadData, match="changed after it was signed"):
        join(bad, replace=True)
    assert joined() == kitchen


def test_a_disk_that_refuses_leaves_the_kitchen_before_in_force(mara, file, monkeypatch):
    first = build(mara)
    second = build(mara, before=first)
    join(file(first))
    path = file(second)

    def full(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", full)
        with pytest.raises(NotSaved, match="The kitchen file was NOT saved: the disk is full"):
            join(path)
    assert joined() == first


def test_rules_are_found_by_kitchen_and_limits_not_by_version(mara, file):
    first = build(mara)
    renamed = build(mara, name="Harbour Road", before=first)
    tight = build(mara, maximum=2, before=renamed)
    print_first, print_tight = first.rules().fingerprint, tight.rules().fingerprint
    shelf = RuleShelf()
    assert shelf.behind("ie", first.stamp, print_first) is None
    remember(renamed)
    assert shelf.behind("ie", first.stamp, print_first) == renamed.rules()
    assert shelf.behind("ie", first.stamp, print_tight) is None
    remember(tight)
    assert shelf.behind("ie", first.stamp, print_tight)["ie-store-3"].maximum == 2
    assert shelf.behind("ie", f"k-000000000000@{'0' * 16}", print_first) is None
    remember(first)
    assert shelf.behind("ie", first.stamp, print_first).title == "Harbour Lane: Ireland, with house limits"


def test_a_line_without_a_kitchen_was_made_under_the_profile_itself(mara, file):
    join(file(build(mara)))
    assert RuleShelf().behind("ie", "", "any") is rules.load("ie")
    with pytest.raises(UnknownName, match="no profile called 'mars'"):
        RuleShelf().behind("mars", "", "any")


def test_a_shelf_holds_the_kitchens_of_its_own_home_only(mara, tmp_path):
    kitchen = build(mara)
    remember(kitchen, tmp_path / "elsewhere")
    assert list(RuleShelf().all_on("ie")) == [rules.load("ie")]
    assert list(RuleShelf(tmp_path / "elsewhere").all_on("ie")) == [rules.load("ie"), kitchen.rules()]
    assert list(RuleShelf(tmp_path / "elsewhere").all_on("uk")) == [rules.load("uk")]
