import json
import subprocess
import sys
from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit import rules
from kit.basics.errors import BadData, UnknownName


@pytest.fixture
def house(tmp_path):
    def write(text):
        path = tmp_path / "house.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


HEAD = '[house]\ntitle = "Harbour Lane"\non = "{on}"\n'


def tighter(rule, **changes):
    lines = "".join(f"{key} = {json.dumps(value)}\n" for key, value in changes.items())
    return f'[[tighter]]\nrule = "{rule}"\n{lines}'


@pytest.mark.parametrize(
    ("on", "rule", "changes"),
    [
        ("ie", "ie-store-3", {"maximum": 2}),
        ("ie", "ie-chill-150", {"minutes": 120}),
        ("ie", "ie-chill-150", {"maximum": 2.5, "minutes": 150}),
        ("ie", "eu-parasite-heat", {"minimum": 62, "minutes": 2}),
        ("ie", "eu-parasite-freeze-24h", {"maximum": -22}),
        ("ie", "ie-fridge", {"minimum": 0.5}),
        ("us-retail", "us-retail-cool-57-21", {"from_c": 60}),
        ("us-processor", "us-processor-listeria-6d", {"minimum": 7}),
        ("us-processor", "us-processor-salt-vacuum", {"maximum": 5}),
        ("uk", "uk-cook-equal", {"rows": [[70, 2], [72, 2]]}),
    ],
)
def test_a_tighter_limit_is_taken(house, on, rule, changes):
    profile = rules.load_house(house(HEAD.format(on=on) + tighter(rule, **changes)))
    base = rules.load(on)
    assert profile.title.endswith("with Harbour Lane")
    assert profile.fingerprint != base.fingerprint
    assert profile[rule].tightened == base[rule].limit
    assert len(profile) == len(base)
    for key, value in changes.items():
        if key != "rows":
            assert getattr(profile[rule], key) == value


@pytest.mark.parametrize(
    ("on", "rule", "changes"),
    [
        ("ie", "ie-store-3", {"maximum": 4}),
        ("ie", "ie-chill-150", {"minutes": 151}),
        ("ie", "ie-chill-150", {"maximum": 5}),
        ("ie", "eu-parasite-heat", {"minimum": 59}),
        ("ie", "eu-parasite-heat", {"minutes": 0.5}),
        ("ie", "eu-parasite-freeze-24h", {"maximum": -18}),
        ("us-retail", "us-retail-cool-57-21", {"from_c": 50}),
        ("us-processor", "us-processor-cook-hold", {"minimum": 60, "minutes": 60}),
        ("us-processor", "us-processor-listeria-6d", {"minimum": 5}),
        ("uk", "uk-cook-equal", {"rows": [[57, 100]]}),
    ],
)
def test_a_looser_limit_is_refused_and_the_rule_is_named(house, on, rule, changes):
    with pytest.raises(BadData, match="looser") as caught:
        rules.load_house(house(HEAD.format(on=on) + tighter(rule, **changes)))
    assert rule in str(caught.value)


def test_a_tightened_kill_is_judged_by_the_new_limit(house):
    text = HEAD.format(on="us-processor") + tighter("us-processor-listeria-6d", minimum=12)
    profile = rules.load_house(house(text))
    values = {"core_temp_c": 70.0, "hold_min": 3.0}  # 9 log
    plain = rules.judge_rule(values, rules.load("us-processor")["us-processor-listeria-6d"])
    tight = rules.judge_rule(values, profile["us-processor-listeria-6d"])
    assert (plain.outcome, tight.outcome) == ("met", "not met")
    assert tight.measured == pytest.approx(plain.measured) == pytest.approx(9)


def test_all_faults_come_in_one_message(house):
    text = HEAD.format(on="ie") + tighter("ie-store-3", maximum=4) + tighter("ie-stor-3", maximum=2)
    with pytest.raises(BadData, match=r"ie-store-3.*looser.*no rule called 'ie-stor-3'"):
        rules.load_house(house(text))


def test_a_house_rule_of_its_own(house):
    own = """
[[rule]]
id = "house-cabinet-door"
title = "Core probe out within 2 min"
step = "cook"
form = "words"
says = "Take the probe out and clean it within 2 min."
"""
    profile = rules.load_house(house(HEAD.format(on="ie") + own))
    assert profile["house-cabinet-door"].source == "house"
    assert len(profile) == len(rules.load("ie")) + 1


OWN = {
    "id": "house-salt",
    "title": "Salt",
    "step": "cure",
    "form": "value",
    "quantity": "salt_pct",
    "unit": "%",
    "maximum": 4,
    "says": "Salt is 4 % or less.",
}


def test_a_house_rule_is_the_houses_own_word_and_stands_once():
    rule = rules.on_top("ie", [], [OWN], where="lane.toml")["house-salt"]
    assert (rule.source, rule.locator, rule.grade, rule.seen, rule.label) == (
        "house",
        "lane.toml",
        "house",
        True,
        "",
    )
    assert rules.judge_rule({"salt_pct": 4.1}, rule).outcome == "not met"
    with pytest.raises(BadData, match=r"lane.toml: the rule 'house-salt': it stands twice\.$"):
        rules.on_top("ie", [], [OWN, OWN], where="lane.toml")
    for name, says in (("salt", "the rule 'salt': its id"), (None, "the rule '': its id")):
        with pytest.raises(BadData, match=says):
            rules.on_top(
                "ie", [], [{key: value for key, value in {**OWN, "id": name}.items() if value}], where="x"
            )


@pytest.mark.parametrize(
    ("on", "rule", "changes", "says"),
    [
        ("ie", "ie-store-3", {"minimum": 4}, "no number lies from 4 to 3"),
        ("ie", "ie-store-3", {"minimum": 3}, ""),  # 3 °C and nothing else: odd, but a number
        ("us-processor", "us-processor-salt-vacuum", {"maximum": 3}, "no number lies from 3.5 to 3"),
        ("us-processor", "us-processor-salt-vacuum", {"from_c": 3}, "the rule has no from_c to tighten"),
        ("ie", "ie-fridge", {"maximum": -1}, "no number lies from 0 to -1"),
        ("us-processor", "us-processor-listeria-6d", {"minutes": 3}, "minutes belong to the formula"),
        ("ie", "ie-store-3", {"rows": [[3, 2]]}, "the rule has no rows to tighten"),
        ("uk", "uk-cook-equal", {"rows": [[70, 2], [60, 44]]}, "60 °C or more for 44 min is looser"),
        ("uk", "uk-cook-equal", {"rows": [[60, 45]]}, ""),
        # the profile's own number again is no looser
        ("ie", "ie-store-3", {"maximum": 3}, ""),
        ("ie", "eu-parasite-heat", {"minimum": 60, "minutes": 1}, ""),
        ("us-retail", "us-retail-cool-57-21", {"from_c": 57}, ""),
    ],
)
def test_whether_a_limit_is_tighter(on, rule, changes, says):
    told = [{"rule": rule, "why": "So we like it.", **changes}]
    if says:
        with pytest.raises(BadData, match=f"here: {rule}: {says}"):
            rules.on_top(on, told, where="here")
    else:
        assert rules.on_top(on, told, where="here")[rule].tightened


def test_every_fault_is_said_in_full_and_once(house):
    with pytest.raises(BadData) as caught:
        rules.on_top(
            "ie", [{"rule": "ie-store-3", "maximum": 4}, {"rule": "ie-stor-3"}, {}], where="lane.toml"
        )
    rule = rules.load("ie")["ie-store-3"]
    looser = f"maximum 4 is looser than the profile's 3 (source {rule.source}, {rule.locator})"
    assert str(caught.value) == (
        f"lane.toml: ie-store-3: {looser}; There is no rule called 'ie-stor-3'. Did you mean 'ie-store-3'?; "
        "lane.toml: 'rule' is missing. Expected: text in quotes."
    )
    with pytest.raises(BadData, match=r"^lane\.toml: rule 'house-salt': step is 'salting'"):
        rules.on_top("ie", [], [{**OWN, "step": "salting"}], where="lane.toml")
    with pytest.raises(BadData, match=r"^house\.toml: this is not TOML"):
        rules.load_house(house("[house"))


def test_a_house_has_its_name(house):
    profile = rules.load_house(house(HEAD.format(on="ie")))
    assert (profile.title, profile.house) == ("Ireland, with Harbour Lane", "Harbour Lane")
    assert rules.load_house(house('[house]\non = "ie"\n')).house == "House rules"
    assert rules.load("ie").house == ""


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "'house' is missing. Expected: a table with on, title"),
        ("[house]\n", "'on' is missing"),
        ('[house]\non = "iee"\n', "Did you mean 'ie'"),
        ("[house\n", "not TOML"),
        (HEAD.format(on="ie") + tighter("ie-store-3"), "nothing is tightened"),
        (
            HEAD.format(on="ie") + tighter("ie-store-3", maximum="cold"),
            "ie-store-3: maximum is 'cold'. Expected: a num",
        ),
        (HEAD.format(on="ie") + tighter("ie-store-3", maximum=True), "maximum is True. Expected: a number"),
        (
            HEAD.format(on="ie") + tighter("ie-store-3", hold=3),
            "unknown name 'hold'. Expected: one of rule, why",
        ),
        (HEAD.format(on="ie") + tighter("ie-store-3", minutes=3), "no minutes to tighten"),
        (HEAD.format(on="ie") + tighter("eu-cool-quickly", minutes=3), "no number to tighten"),
        (HEAD.format(on="ie") + tighter("ie-fridge", minimum=6), "no number lies"),
        (HEAD.format(on="uk") + tighter("uk-cook-equal", rows=[]), "nothing could ever meet"),
        (HEAD.format(on="uk") + tighter("uk-cook-equal", rows=[70]), "Expected: pairs such as"),
        (HEAD.format(on="ie") + "[limits]\n", "unknown name 'limits'. Expected: one of house, tighter, rule"),
        (HEAD.format(on="ie") + '[[rule]]\nid = "mine"\n', "starts with 'house-'"),
        (HEAD.format(on="ie") + '[[rule]]\nid = "house-a"\n', "'title' is missing"),
        (HEAD.format(on="ie") + "tighter = 3\n", "tighter is 3. Expected: a list of tables"),
    ],
)
def test_a_file_that_is_not_a_house_file_is_refused(house, text, says):
    if text.endswith("tighter = 3\n"):
        text = "tighter = 3\n" + HEAD.format(on="ie")
    with pytest.raises(BadData, match=says):
        rules.load_house(house(text))


def test_a_house_file_that_is_not_text(tmp_path):
    path = tmp_path / "house.toml"
    path.write_bytes(b"\xff\xfe\x00h")
    with pytest.raises(BadData, match="not UTF-8"):
        rules.load_house(path)


def test_an_unknown_profile_lists_the_known_ones():
    with pytest.raises(UnknownName, match=f"Known: {', '.join(rules.PROFILES)}"):
        rules.load("france")


@pytest.mark.slow
def test_fingerprints_differ_between_profiles_and_agree_between_processes():
    here = {name: rules.load(name).fingerprint for name in rules.PROFILES}
    assert len(set(here.values())) == len(here)
    code = (
        "import json; from kit import rules as r; "
        "print(json.dumps({name: r.load(name).fingerprint for name in r.PROFILES}))"
    )
    there = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert json.loads(there.stdout) == here


def test_the_fingerprint_does_not_change_with_wording(house):
    from dataclasses import replace

    profile = rules.load("ie")
    reworded = replace(profile, rules=tuple(replace(rule, says="Other words.") for rule in profile.rules))
    assert reworded.fingerprint == profile.fingerprint
    moved = replace(profile, rules=tuple(reversed(profile.rules)))
    assert moved.fingerprint == profile.fingerprint


PLAIN = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8)
VALUES = PLAIN | st.lists(PLAIN | st.lists(PLAIN, max_size=3), max_size=3) | st.dictionaries(st.text(), PLAIN)
NAMES = [
    *(f.name for f in fields(rules.Rule)),
    "rule",
    "why",
    "organism",
    "ref_c",
    "z_c",
    "table_from_c",
    "x",
]
RECORDS = st.dictionaries(st.sampled_from(NAMES), VALUES, max_size=6)
WHOLE = {
    "id": "house-a",
    "title": "A",
    "step": "cook",
    "form": "value",
    "says": "S.",
    "quantity": "core_temp_c",
}
WHOLE |= {"unit": "°C", "minimum": 70}


@pytest.mark.slow
@given(changes=RECORDS, rule=st.sampled_from([rule.id for rule in rules.load("us-processor")]))
def test_any_record_is_taken_or_refused_in_words(changes, rule):
    for tighter_, own in (([{"rule": rule, **changes}], []), ([], [{**WHOLE, **changes}]), ([], [changes])):
        try:
            profile = rules.on_top("us-processor", tighter_, own, where="house.toml")
        except BadData as error:
            assert error.where == "house.toml" and len(str(error)) < 2000
        else:
            assert len(profile.fingerprint) == 16
            assert all(each.limit for each in profile)


def test_a_rule_of_its_own_tells_all_its_faults(house):
    own = """
[[rule]]
id = "house-door"
titel = "Core probe out"
step = "cook"
form = "value"
says = "Take it out."
minimum = "70"
seen = "yes"
"""
    with pytest.raises(BadData) as caught:
        rules.load_house(house(HEAD.format(on="ie") + own + tighter("ie-store-3", maximum=4)))
    for said in (
        "ie-store-3: maximum 4 is looser",
        "rule 'house-door'",
        "'title' is missing (expected: text in quotes)",
        "minimum is '70' (expected: a number)",
        "seen is 'yes' (expected: true or false)",
        "unknown name 'titel'",
    ):
        assert said in str(caught.value)
