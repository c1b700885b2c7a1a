import tomllib
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from kit import rules
from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.files import NotSaved
from kit.files.kitchen_file import (
    KeyHolder,
    Kitchen,
    check_next,
    kitchen_text,
    make_kitchen,
    parse_kitchen,
    read_kitchen,
    write_kitchen,
)
from kit.files.signing import make_key, unseal_key

AT = datetime(2026, 3, 2, 9, 15, tzinfo=UTC)
TIGHTER = ({"rule": "ie-store-3", "maximum": 2.5, "why": 'The door opens all day.\n"Often".'},)
OWN = (
    {
        "id": "house-cabinet-door",
        "title": "Core probe out within 2 min",
        "step": "cook",
        "form": "words",
        "says": "Take the probe out and clean it within 2 min.",
    },
)


def signer():
    sealed, _ = make_key("smoke over alder", cost=2**14)
    return unseal_key(sealed, "smoke over alder")


@pytest.fixture(scope="module")
def mara():
    return signer()


@pytest.fixture(scope="module")
def other():
    return signer()


def build(mara, name="Harbour Lane", keys=(), **more):
    keys = [KeyHolder("tutor", "Mara Quill", mara.public), *keys]
    more = {"profile": "ie", "tighter": TIGHTER, "own": OWN, "clock": lambda: AT, **more}
    return make_kitchen(name, keys=keys, signer=mara, **more)


@pytest.fixture(scope="module")
def kitchen(mara, other):
    return build(mara, keys=[KeyHolder("verifier", "Finn Ó Dálaigh", other.public)])


def forged(kitchen, mara):
    """The same kitchen with a signature that stands: what only its tutor can make."""
    return replace(kitchen, signature=mara.sign(kitchen.message))


def test_a_kitchen_file_reads_back_as_it_was_made(kitchen, tmp_path):
    path = tmp_path / "harbour.toml"
    write_kitchen(path, kitchen)
    assert read_kitchen(path) == kitchen
    assert read_kitchen(path).fingerprint() == kitchen.fingerprint()
    assert (kitchen.version, kitchen.made_at, kitchen.signer.name) == (1, AT, "Mara Quill")
    assert tomllib.loads(path.read_text(encoding="utf-8"))["key"][1]["name"] == "Finn Ó Dálaigh"


def test_its_rules_are_the_profile_with_the_house_limits(kitchen):
    held = kitchen.rules()
    assert held["ie-store-3"].maximum == 2.5 and held["house-cabinet-door"].form == "words"
    assert held.title == "Harbour Lane: Ireland, with house limits"
    assert rules.load("ie")["ie-store-3"].maximum == 3


@given(data=st.data())
def test_any_changed_character_is_refused_or_reads_as_equal(kitchen, data):
    text = kitchen_text(kitchen)
    place = data.draw(st.integers(0, len(text) - 1))
    new = data.draw(st.one_of(st.characters(), st.sampled_from('0123456789.abcdef"\n#= []')))
    assume(new != text[place])
    try:
        changed = (text[:place] + new + text[place + 1 :]).encode("utf-8")
    except UnicodeEncodeError:  # a lone surrogate is no text
        return
    try:
        read = parse_kitchen(changed, "k.toml")
    except (BadData, OutOfRange):
        return
    assert read == kitchen


@given(data=st.data())
def test_a_line_taken_out_or_put_twice_is_refused_or_reads_as_equal(kitchen, data):
    lines = kitchen_text(kitchen).splitlines(keepends=True)
    place = data.draw(st.integers(0, len(lines) - 1))
    for changed in (lines[:place] + lines[place + 1 :], lines[:place] + lines[place:][:1] + lines[place:]):
        try:
            read = parse_kitchen("".join(changed).encode("utf-8"), "k.toml")
        except (BadData, OutOfRange):
            continue
        assert read == kitchen


@given(data=st.binary(max_size=300))
def test_any_bytes_at_all_are_refused_in_words(data):
    with pytest.raises(BadData):
        parse_kitchen(data, "k.toml")


@pytest.mark.parametrize(
    "change",
    [
        lambda t: t.replace("maximum = 2.5", "maximum = 2.4"),
        lambda t: t.replace('profile = "ie"', 'profile = "uk"'),
        lambda t: t.replace("Harbour Lane", "Harbour Line"),
        lambda t: t.replace("version = 1", "version = 2"),
        lambda t: t.replace("2026-03-02", "2026-03-03"),
        lambda t: t.replace('role = "verifier"', 'role = "tutor"'),
        lambda t: t.replace("The door opens", "The hatch opens"),
    ],
)
def test_a_change_that_matters_is_told_as_a_change_after_signing(kitchen, change):
    text = change(kitchen_text(kitchen))
    assert text != kitchen_text(kitchen)
    with pytest.raises(BadData, match="this kitchen file was changed after it was signed"):
        parse_kitchen(text.encode(), "k.toml")


def test_comments_blank_lines_and_line_ends_may_change(kitchen):
    text = kitchen_text(kitchen).replace("\n", "\r\n") + "\r\n# kept on the office shelf\r\n"
    assert parse_kitchen(b"\xef\xbb\xbf" + text.encode(), "k.toml") == kitchen


def test_a_looser_limit_is_refused_and_the_rule_named_even_if_signed(kitchen, mara):
    looser = forged(replace(kitchen, tighter=({"rule": "ie-store-3", "maximum": 4},)), mara)
    with pytest.raises(BadData, match="ie-store-3: maximum 4 is looser"):
        parse_kitchen(kitchen_text(looser).encode(), "k.toml")
    with pytest.raises(BadData, match="ie-store-3: maximum 4 is looser"):
        build(mara, tighter=looser.tighter)


def test_an_unknown_profile_is_named_even_if_signed(kitchen, mara):
    with pytest.raises(BadData, match="no profile called 'iee'"):
        strange = forged(replace(kitchen, profile="iee"), mara)
        parse_kitchen(kitchen_text(strange).encode(), "k.toml")
    with pytest.raises(UnknownName, match="Did you mean 'ie'"):
        build(mara, profile="iee")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"id": "k-1"}, "12 hex digits"),
        ({"version": 0}, "from 1"),
        ({"name": "Harbour  Lane"}, "not tidy"),
        ({"name": " "}, "at least one letter"),
        (
            {"own": ({**OWN[0], "applies": "all"},)},
            "applies is 'all'. Expected: a table",
        ),
    ],
)
def test_a_signed_file_that_makes_no_sense_is_refused(kitchen, mara, change, says):
    with pytest.raises((BadData, OutOfRange), match=says):
        parse_kitchen(kitchen_text(forged(replace(kitchen, **change), mara)).encode(), "k.toml")


def test_a_key_cannot_stand_twice_and_only_a_tutor_signs(kitchen, mara, other):
    with pytest.raises(BadData, match="a key stands twice"):
        build(mara, keys=[KeyHolder("verifier", "Also Mara", mara.public)])
    mine = replace(kitchen, signed_by=other.key_id)  # a verifier's key, though a good signature
    with pytest.raises(BadData, match="changed after it was signed"):
        parse_kitchen(kitchen_text(forged(mine, other)).encode(), "k.toml")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "not a kitchen file"),
        ("[house]\non = 'ie'\n", "not a kitchen file"),
        ("smokehouse = [", "not a whole kitchen file"),
        ('smokehouse = "kitchen"\nschema = 2\n', "newer kit"),
        ('smokehouse = "kitchen"\nschema = true\n', r"schema is True \(expected: a whole number\)"),
        ('smokehouse = "kitchen"\nschema = 1\nextra = 1\n', "unknown name 'extra'"),
        ('smokehouse = "kitchen"\nschema = 1\n', "'signed' is missing"),
        ('smokehouse = "kitchen"\nschema = 1\nmade_at = 2026-03-02\n', "cannot hold"),
        ('smokehouse = "kitchen"\nschema = 1\nversion = nan\n', "cannot hold"),
    ],
)
def test_a_file_that_is_no_kitchen_file_says_what_it_is(text, says):
    with pytest.raises(BadData, match=says):
        parse_kitchen(text.encode(), "k.toml")


def test_a_missing_and_a_huge_file_are_refused_in_words(tmp_path):
    with pytest.raises(BadData, match="no such file"):
        read_kitchen(tmp_path / "none.toml")
    (tmp_path / "big.toml").write_bytes(b"#" * 300_000)
    with pytest.raises(BadData, match="too large"):
        read_kitchen(tmp_path / "big.toml")


def test_a_full_disk_is_told(kitchen, tmp_path):
    with pytest.raises(NotSaved, match="The kitchen file was NOT saved"):
        write_kitchen(tmp_path / "no" / "such" / "k.toml", kitchen)


def test_the_next_version_must_be_signed_by_a_tutor_of_this_one(kitchen, mara, other):
    second = build(mara, keys=kitchen.keys[1:], before=kitchen, tighter=())
    assert (second.id, second.version) == (kitchen.id, 2)
    assert check_next(second, kitchen) is True
    assert check_next(kitchen, kitchen) is False
    with pytest.raises(BadData, match="older than version 2"):
        check_next(kitchen, second)
    with pytest.raises(BadData, match="another file of the same version"):
        check_next(forged(replace(kitchen, name="Quay Lane"), mara), kitchen)
    stranger = signer()
    listed = [KeyHolder("tutor", "Stranger", stranger.public), *kitchen.keys]
    with pytest.raises(BadData, match=f"the key {stranger.key_id} signed it, but version 1 lists no such"):
        make_kitchen("Harbour Lane", profile="ie", keys=listed, signer=stranger, before=kitchen)
    with pytest.raises(BadData, match="lists no such tutor"):  # a verifier who made themself a tutor
        promoted = [replace(one, role="tutor") for one in kitchen.keys]
        make_kitchen("Harbour Lane", profile="ie", keys=promoted, signer=other, before=kitchen)
    with pytest.raises(BadData, match="another kitchen, Harbour Lane"):
        check_next(build(mara, name="Quay"), kitchen)


def test_a_version_without_its_signature_is_not_the_next_one(kitchen, mara):
    second = build(mara, before=kitchen)
    with pytest.raises(BadData, match="changed after it was signed"):
        check_next(replace(second, name="Quay Lane"), kitchen)


@given(
    name=st.text(min_size=1, max_size=60),
    why=st.text(max_size=60),
    limit=st.floats(0, 3, allow_nan=False),
)
def test_any_name_reason_and_tighter_limit_survive_the_file(mara, name, why, limit):
    try:
        made = build(mara, name=name, tighter=({"rule": "ie-store-3", "maximum": limit, "why": why},), own=())
    except OutOfRange:  # nothing visible in the name
        return
    except UnicodeEncodeError:  # a lone surrogate in the reason is no text
        assume(False)
    assert isinstance(made, Kitchen)
    assert parse_kitchen(kitchen_text(made).encode(), "k.toml") == made
    assert made.rules()["ie-store-3"].maximum == limit
