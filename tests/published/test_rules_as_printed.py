"""The limits of the kit against the texts that print them, each row in the unit of its text.

Every row was read in a stored copy of its source; none is from memory. °F as printed are turned into °C here,
by hand: (F - 32) / 1.8.
"""

import pytest

from kit import rules

# profile, rule, field of the rule, printed, unit, source
PRINTED = [
    ("ie", "eu-parasite-freeze-24h", "maximum", -20, "C", "Regulation 853/2004, Annex III, VIII, III D(1)"),
    ("ie", "eu-parasite-freeze-24h", "minutes", 24, "h", "Regulation 853/2004, Annex III, VIII, III D(1)"),
    ("ie", "eu-parasite-freeze-15h", "maximum", -35, "C", "Regulation 853/2004, Annex III, VIII, III D(1)"),
    ("ie", "eu-parasite-freeze-15h", "minutes", 15, "h", "Regulation 853/2004, Annex III, VIII, III D(1)"),
    ("ie", "eu-parasite-heat", "minimum", 60, "C", "Regulation 853/2004, Annex III, VIII, III D(3)"),
    ("ie", "eu-parasite-heat", "minutes", 1, "min", "Regulation 853/2004, Annex III, VIII, III D(3)"),
    ("uk", "eu-parasite-heat", "minimum", 60, "C", "Regulation 853/2004, Annex III, VIII, III D(3)"),
    ("uk", "eu-parasite-freeze-24h", "maximum", -20, "C", "Regulation 853/2004, Annex III, VIII, III D(1)"),
    ("ie", "eu-frozen-fish-temp", "maximum", -18, "C", "Regulation 853/2004, Annex III, VIII, VII and VIII"),
    ("codex", "codex-frozen", "maximum", -18, "C", "CXS 190-1995, 2.2"),
    ("ie", "ie-cook-75", "minimum", 75, "C", "FSAI Guidance Note 15, key steps"),
    ("ie", "ie-chill-150", "maximum", 3, "C", "FSAI Guidance Note 15, key steps"),
    ("ie", "ie-chill-150", "minutes", 150, "min", "FSAI Guidance Note 15, key steps"),
    ("ie", "ie-store-3", "maximum", 3, "C", "FSAI Guidance Note 15, key steps"),
    ("ie", "ie-reheat-70", "minimum", 70, "C", "FSAI Guidance Note 15, key steps"),
    ("ie", "ie-life-5", "maximum", 5, "as is", "FSAI Guidance Note 15, key steps"),
    ("ie", "ie-fridge", "maximum", 5, "C", "FSAI, food temperatures, cold chain, 2022"),
    ("ie", "ie-fridge", "minimum", 0, "C", "FSAI, food temperatures, cold chain, 2022"),
    (
        "ie",
        "eu-listeria-100",
        "maximum",
        100,
        "as is",
        "Regulation 2073/2005, Annex I, 1.2, as summarised by EFSA",
    ),
    (
        "uk",
        "eu-listeria-100",
        "maximum",
        100,
        "as is",
        "Regulation 2073/2005, Annex I, 1.2, as summarised by EFSA",
    ),
    ("ie", "ie-carbon-monoxide-8h", "maximum", 20, "as is", "Directive 2017/164; 2004/37/EC, Annex III"),
    ("ie", "ie-carbon-monoxide-15min", "maximum", 100, "as is", "Directive 2017/164; 2004/37/EC, Annex III"),
    ("ie", "ie-wood-dust", "maximum", 2, "as is", "Directive 2017/2398, Annex III"),
    ("uk", "uk-wood-dust", "maximum", 3, "as is", "EH40/2005, 4th ed. 2020, table 1"),
    ("uk", "uk-store-8", "maximum", 8, "C", "SI 2013/2996, Sch. 4 para 2"),
    ("uk", "uk-store-5", "maximum", 5, "C", "FSA advice by nibusinessinfo"),
    ("uk", "uk-hot-hold", "minimum", 63, "C", "SI 2006/31 (W.5), Sch. 4 para 6"),
    ("uk", "uk-chill-start-30", "minutes", 30, "min", "Chilled and Frozen, 1989, chilling"),
    ("uk", "uk-chill-90", "maximum", 3, "C", "Chilled and Frozen, 1989, chilling"),
    ("uk", "uk-chill-90", "minutes", 90, "min", "Chilled and Frozen, 1989, chilling"),
    ("uk", "uk-cook-chill-store", "maximum", 3, "C", "Chilled and Frozen, 1989, storage"),
    ("uk", "uk-cook-chill-store", "minimum", 0, "C", "Chilled and Frozen, 1989, storage"),
    (
        "uk",
        "uk-vacuum-10-days",
        "maximum",
        10,
        "as is",
        "FSA factsheet, vacuum packed chilled foods, points 1 to 3",
    ),
    ("uk", "uk-vacuum-salt", "minimum", 3.5, "as is", "FSA guidance on vacuum packs, controlling factors"),
    ("us-retail", "us-retail-parasite-7d", "maximum", -20, "C", "WAC 246-215-03425 (1)(a)"),
    ("us-retail", "us-retail-parasite-7d", "minutes", 7 * 24, "h", "WAC 246-215-03425 (1)(a)"),
    ("us-retail", "us-retail-parasite-15h", "maximum", -35, "C", "WAC 246-215-03425 (1)(b)"),
    ("us-retail", "us-retail-parasite-15h", "minutes", 15, "h", "WAC 246-215-03425 (1)(b)"),
    ("us-retail", "us-retail-cook-63", "minimum", 63, "C", "WAC 246-215-03400"),
    ("us-retail", "us-retail-cook-63", "minutes", 15, "s", "WAC 246-215-03400"),
    ("us-retail", "us-retail-cool-57-21", "maximum", 21, "C", "16 Del. Admin. Code 3-501.14(A)(1)"),
    ("us-retail", "us-retail-cool-57-21", "minutes", 2, "h", "16 Del. Admin. Code 3-501.14(A)(1)"),
    ("us-retail", "us-retail-cool-57-5", "maximum", 5, "C", "16 Del. Admin. Code 3-501.14(A)(2)"),
    ("us-retail", "us-retail-cool-57-5", "minutes", 6, "h", "16 Del. Admin. Code 3-501.14(A)(2)"),
    ("us-retail", "us-retail-life-7", "maximum", 7, "as is", "Minnesota Rules 4626.0400, items A to C"),
    ("us-retail", "us-retail-carbon-monoxide", "maximum", 50, "as is", "29 CFR 1910.1000, table Z-1"),
    (
        "us-retail",
        "us-retail-carbon-monoxide-advice",
        "maximum",
        35,
        "as is",
        "NIOSH criteria document, 1972",
    ),
    ("us-processor", "us-processor-cook-hold", "minimum", 145, "F", "Michigan R 285.569.7, rule 7(1)"),
    ("us-processor", "us-processor-cook-hold", "minutes", 30, "min", "Michigan R 285.569.7, rule 7(1)"),
    ("us-processor", "us-processor-salt-air", "minimum", 3.0, "as is", "Michigan R 285.569.8, rule 8(2)"),
    ("us-processor", "us-processor-store", "maximum", 38, "F", "Michigan R 285.569.8, rule 8(1)"),
    ("us-processor", "us-processor-vacuum-store", "maximum", 38, "F", "Wisconsin ATCP 70.18 (2)"),
    ("us-processor", "us-processor-brine-start", "maximum", 60, "F", "1 CRR-NY 262.5(a)"),
    ("us-processor", "us-processor-brine-long", "maximum", 38, "F", "1 CRR-NY 262.5(a)"),
    ("us-processor", "us-processor-dry-salt", "maximum", 38, "F", "1 CRR-NY 262.5(a)"),
    ("us-processor", "us-processor-brine-batches", "maximum", 3, "as is", "Alaska 18 AAC 34.310 (f)"),
    (
        "us-processor",
        "us-processor-nitrite",
        "maximum",
        200,
        "as is",
        "Alaska 18 AAC 34.310 (d)(1); 21 CFR 172.175",
    ),
    (
        "us-processor",
        "us-processor-salt-unchilled",
        "minimum",
        17,
        "as is",
        "Code of Maine Rules 01-001 ch. 359, 3",
    ),
    ("ie", "probe-ice", "minimum", -1, "C", "Hong Kong Centre for Food Safety, thermometers"),
    ("ie", "probe-ice", "maximum", 1, "C", "Hong Kong Centre for Food Safety, thermometers"),
    ("ie", "probe-boil", "minimum", 99, "C", "Hong Kong Centre for Food Safety, thermometers"),
    ("ie", "probe-boil", "maximum", 101, "C", "Hong Kong Centre for Food Safety, thermometers"),
]
TO_OURS = {
    "C": lambda printed: printed,
    "F": lambda printed: (printed - 32) / 1.8,
    "h": lambda printed: 60 * printed,
    "s": lambda printed: printed / 60,
    "min": lambda printed: printed,
    "as is": lambda printed: printed,
}


@pytest.mark.parametrize(
    ("profile", "rule", "field", "printed", "unit", "source"),
    PRINTED,
    ids=[f"{row[0]}-{row[1]}-{row[2]}" for row in PRINTED],
)
def test_a_limit_is_the_printed_one(profile, rule, field, printed, unit, source):
    found = next(each for each in rules.load(profile).rules if each.id == rule)
    assert source and found.seen, "a row here was read, so the rule says so"
    assert getattr(found, field) == pytest.approx(TO_OURS[unit](printed), abs=0.05)


# UK cooking advice, read as quoted: core and minutes that are worth the same.
EQUAL = [(60, 45), (65, 10), (70, 2), (75, 0.5), (80, 0.1)]


@pytest.mark.parametrize(("core_c", "minutes"), EQUAL)
def test_the_equal_holds_of_the_uk_advice_are_the_printed_ones(core_c, minutes):
    rule = next(each for each in rules.load("uk").rules if each.id == "uk-cook-equal")
    assert {(hold.temp_c, round(hold.minutes, 3)) for hold in rule.holds} >= {(core_c, minutes)}
