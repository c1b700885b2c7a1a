import hashlib
import json
import os
import stat

import pytest
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kit.basics.errors import BadData, OutOfRange
from kit.files import NotSaved
from kit.files.signing import (
    WEAK,
    WrongPassword,
    check,
    make_key,
    read_code,
    read_key,
    reset_password,
    unseal_key,
    write_key,
)

COST = 2**14  # the least allowed: these tests stretch many passwords
PASSWORD = "smoke over alder"
SHARED_FOLDER = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@pytest.fixture(scope="module")
def made():
    return make_key(PASSWORD, cost=COST)


@pytest.fixture(scope="module")
def signer(made):
    return unseal_key(made[0], PASSWORD)


@given(message=st.binary(max_size=2000))
def test_what_is_signed_checks(signer, message):
    assert check(signer.public, message, signer.sign(message))


@given(message=st.binary(min_size=1, max_size=200), data=st.data())
def test_one_flipped_bit_in_message_signature_or_key_is_refused(signer, message, data):
    signature = signer.sign(message)
    parts = [message, bytes.fromhex(signature), bytes.fromhex(signer.public)]
    which = data.draw(st.integers(0, 2))
    bit = data.draw(st.integers(0, 8 * len(parts[which]) - 1))
    flipped = bytearray(parts[which])
    flipped[bit // 8] ^= 1 << bit % 8
    parts[which] = bytes(flipped)
    assert not check(parts[2].hex(), parts[0], parts[1].hex())


@given(text=st.text(max_size=140))
def test_anything_that_is_no_signature_or_no_key_is_simply_not_one(signer, text):
    assert check(signer.public, b"m", text) is False
    assert check(text, b"m", signer.sign(b"m")) is False


@pytest.mark.parametrize("public", sorted(WEAK))
def test_a_weak_key_signs_nothing_here(public):
    """Under each of these the bare library takes one signature for many messages: that is what is refused."""
    signature = bytes([1]) + bytes(63)
    messages = [b"message %d" % number for number in range(200)]

    def taken_by_the_library(message):
        try:
            Ed25519PublicKey.from_public_bytes(bytes.fromhex(public)).verify(signature, message)
        except InvalidSignature:
            return False
        return True

    assert sum(map(taken_by_the_library, messages)) >= 8
    assert not any(check(public, message, signature.hex()) for message in messages)


def test_capitals_are_not_a_second_way_to_write_a_signature(signer):
    assert not check(signer.public, b"m", signer.sign(b"m").upper())


def test_a_wrong_password_says_so_and_no_more(made):
    with pytest.raises(WrongPassword) as caught:
        unseal_key(made[0], "smoke over beech")
    assert str(caught.value) == f"The key {made[0].key_id} does not open with this password."


@pytest.mark.parametrize("password", ["", "nine char", "x" * 1025])
def test_a_password_too_short_or_too_long_is_refused_and_not_repeated(password):
    with pytest.raises(OutOfRange, match=f"{len(password)} characters long") as caught:
        make_key(password, cost=COST)
    assert not password or password not in str(caught.value)


def test_a_password_typed_in_another_unicode_form_opens_the_key():
    sealed, _ = make_key("crème brûlée", cost=COST)
    assert unseal_key(sealed, "cre\u0300me bru\u0302le\u0301e").key_id == sealed.key_id


@pytest.mark.parametrize("cost", [2**13, 2**14 + 1, 2**21, True, 2.0**15])
def test_a_cost_that_is_too_cheap_or_no_power_of_two_is_refused(cost):
    with pytest.raises(OutOfRange, match="a power of two"):
        make_key(PASSWORD, cost=cost)


def test_neither_the_file_nor_the_signer_shows_the_private_half(made, signer, tmp_path):
    write_key(tmp_path / "k.json", made[0])
    private = signer._private.private_bytes_raw().hex()
    assert private not in (tmp_path / "k.json").read_text()
    assert private not in repr(signer) + repr(made[0])


@pytest.mark.slow
def test_the_recovery_code_mends_a_lost_password(made):
    sealed, code = made
    mended = reset_password(sealed, f"  {code.lower().replace('-', ' ')} ", "beech under ash")
    assert unseal_key(mended, "beech under ash").public == sealed.public
    with pytest.raises(WrongPassword):
        unseal_key(mended, PASSWORD)
    again = reset_password(mended, code, "the third password")
    assert unseal_key(again, "the third password").key_id == sealed.key_id


def test_two_keys_have_nothing_in_common(made):
    other, code = make_key(PASSWORD, cost=COST)
    assert other.key_id != made[0].key_id and code != made[1]
    assert other.by_password.salt not in (made[0].by_password.salt, other.by_code.salt)
    with pytest.raises(WrongPassword, match="recovery code"):
        reset_password(made[0], code, "beech under ash")


def test_seals_cannot_be_exchanged(made):
    from dataclasses import replace

    other, _ = make_key(PASSWORD, cost=COST)
    with pytest.raises(WrongPassword):
        unseal_key(replace(other, by_password=made[0].by_password), PASSWORD)


@given(place=st.integers(0, 29), other=st.sampled_from("0123456789ABCDEFGHJKMNPQRSTVWXYZ"))
def test_any_one_mistyped_symbol_of_the_code_names_its_group(made, place, other):
    symbols = list(made[1].replace("-", ""))
    if symbols[place] == other:
        return
    symbols[place] = other
    with pytest.raises(BadData, match=f"group {place // 5 + 1} is mistyped"):
        read_code("".join(symbols))


@given(place=st.integers(0, 28))
def test_two_neighbours_swapped_in_the_code_are_found(made, place):
    symbols = list(made[1].replace("-", ""))
    if symbols[place] == symbols[place + 1]:
        return
    symbols[place], symbols[place + 1] = symbols[place + 1], symbols[place]
    with pytest.raises(BadData, match="is mistyped"):
        read_code("".join(symbols))


@pytest.mark.parametrize("change", [lambda c: c[:-1], lambda c: c + "0", lambda c: "", lambda c: "?" + c[1:]])
def test_a_code_that_is_not_whole_is_refused_in_words(made, change):
    with pytest.raises(BadData, match="the recovery code: "):
        read_code(change(made[1]))


def test_groups_in_another_order_are_found(made):
    first, second, *rest = made[1].split("-")
    with pytest.raises(BadData, match="is mistyped"):
        read_code("-".join([second, first, *rest]))


def test_letters_that_are_misread_are_taken_for_the_digits_they_look_like():
    assert read_code("ooooo-ooool-oooo2-00003-00004-00005") == "0" * 24
    assert read_code("ooooo-ooooI-oooo2-00003-00004-00005") == "0" * 24


def test_a_key_file_reads_back_as_it_was_and_is_private(made, tmp_path):
    path = tmp_path / "keys" / "k.json"
    write_key(path, made[0])
    assert read_key(path) == made[0]
    if os.name != "nt":
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert [file.name for file in path.parent.iterdir()] == ["k.json"]


def test_a_key_file_cut_short_anywhere_is_refused_in_words(made, tmp_path):
    path = tmp_path / "k.json"
    write_key(path, made[0])
    data = path.read_bytes()
    for size in range(0, len(data) - 2, 7):
        path.write_bytes(data[:size])
        with pytest.raises(BadData, match="this is not a whole key file"):
            read_key(path)


@SHARED_FOLDER
@given(data=st.data())
def test_any_changed_character_of_a_key_file_is_refused_or_reads_as_equal(made, tmp_path, data):
    path = tmp_path / "k.json"
    write_key(path, made[0])
    text = bytearray(path.read_bytes())
    text[data.draw(st.integers(0, len(text) - 1))] = data.draw(st.integers(0, 255))
    path.write_bytes(bytes(text))
    try:
        read = read_key(path)
    except BadData:
        return
    assert read == made[0]


def test_a_newer_a_missing_and_a_huge_file_say_what_they_are(made, tmp_path):
    path = tmp_path / "k.json"
    with pytest.raises(BadData, match="no such file"):
        read_key(path)
    write_key(path, made[0])
    facts = json.loads(path.read_text())
    path.write_text(json.dumps({**facts, "schema": 2}))
    with pytest.raises(BadData, match="newer kit"):
        read_key(path)
    path.write_text("[" * 100_000)
    with pytest.raises(BadData, match="too large"):
        read_key(path)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda f: f.update(public="00" * 31), r"public is .0+…\. Expected: 64 lower-case hex"),
        (lambda f: f.update(public=f["public"] + "\n"), "Expected: 64 lower-case hex digits"),
        (lambda f: f.pop("by_code"), "'by_code' is missing"),
        (lambda f: f["by_code"].pop("salt"), "by_code.*'salt' is missing"),
        (lambda f: f["by_code"].update(salt="zz" * 16), "by_code.*salt is 'z+'.* 32 lower-case hex"),
        (lambda f: f["by_code"].update(cost="65536"), "by_code.*cost is '65536'.* a whole number"),
        (lambda f: f["by_code"].update(cost=2**30), "a power of two"),
    ],
)
def test_a_key_file_made_by_hand_with_its_sum_right_is_still_checked(made, tmp_path, change, says):
    path = tmp_path / "k.json"
    write_key(path, made[0])
    facts = json.loads(path.read_text())
    facts.pop("sum")
    change(facts)
    total = hashlib.sha256(json.dumps(facts, sort_keys=True).encode()).hexdigest()
    path.write_text(json.dumps({**facts, "sum": total}))
    with pytest.raises(BadData, match=says):
        read_key(path)


def test_a_disk_that_refuses_is_told_and_the_old_file_stays(made, tmp_path, monkeypatch):
    path = tmp_path / "k.json"
    write_key(path, made[0])
    other, _ = make_key(PASSWORD, cost=COST)

    def full(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", full)
        with pytest.raises(NotSaved, match="The key was NOT saved: the disk is full"):
            write_key(path, other)
    assert read_key(path) == made[0]
