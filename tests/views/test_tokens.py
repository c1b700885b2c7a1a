"""Colours stand in one place, so that a page can be dark, or in the reader's own colours."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

VIEWS = Path(__file__).parents[2] / "kit" / "views"
STYLES = sorted(path for path in VIEWS.rglob("*.css") if path.name != "tokens.css")
COLOR = re.compile(r"#[0-9a-fA-F]{3,8}\b|rgb\(")
ON_A_PICTURE = (".sk-cross", ".sk-mark", ".sk-tip", "img {")  # it lies on light paper in every scheme


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.name)
def test_a_colour_on_a_screen_is_a_token(path: Path):
    screen = re.sub(r"@media print \{.*?\n\}", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    own = [line for line in screen.splitlines() if COLOR.search(line)]
    assert [line for line in own if not any(part in line for part in ON_A_PICTURE)] == []


def brightness(color: str) -> float:
    """Return the relative luminance of a colour. WCAG 2.2, definition of relative luminance (from memory)."""
    digits = color.lstrip("#")
    digits = "".join(2 * each for each in digits) if len(digits) == 3 else digits
    parts = [int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    line = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * line[0] + 0.7152 * line[1] + 0.0722 * line[2]


def contrast(one: str, other: str) -> float:
    """Return how far two colours stand apart, from 1 to 21."""
    low, high = sorted((brightness(one), brightness(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("scheme", [0, 1], ids=["light", "dark"])
def test_words_stand_out_from_what_is_behind_them(scheme: int):
    assert contrast("#000", "#fff") == pytest.approx(21)
    text = (VIEWS / "front" / "tokens.css").read_text(encoding="utf-8")
    blocks = re.findall(r"\{([^{}]*--paper[^{}]*)\}", text)
    found = dict(re.findall(r"--([\w-]+): (#\w+)", blocks[scheme]))
    for behind in ("paper", "sheet", "field", "wash"):
        for words in ("ink", "soft", "accent", "accent-dark"):
            assert contrast(found[words], found[behind]) >= 4.5, (words, behind)
        assert contrast(found["edge"], found[behind]) >= 3, ("edge", behind)
    assert contrast(found["on-accent"], found["accent"]) >= 4.5
    assert contrast(found["on-accent"], found["accent-dark"]) >= 4.5
