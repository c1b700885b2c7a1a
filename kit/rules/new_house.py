"""A house file to begin with: every number of a profile as a comment, with which way is tighter."""

from __future__ import annotations

import json
from collections.abc import Iterator

from kit.rules.loading import load
from kit.rules.model import Rule
from kit.rules.profile import Profile

_HEAD = """# The kitchen's own limits, on top of the rules of {title}.
# A limit may be tighter than the law's, never looser. To set one: take the # away from its lines, change the
# number, and say why. Then check the file: smokehouse rules check {file}
# It reaches everybody with the kitchen's file: smokehouse kitchen new

[house]
title = {name}
on = "{on}"
"""


def house_text(on: str, name: str = "House rules", file: str = "house.toml") -> str:
    """Return the text of a house file that changes nothing yet.

    Parameters
    ----------
    on : str
        The id of the profile, such as ``ie``.
    name : str
        What the kitchen calls itself.
    file : str
        The file's name, for the comment.

    Raises
    ------
    UnknownName
        If there is no such profile.

    Examples
    --------
    >>> print(house_text("ie").split("[house]")[1].splitlines()[2])
    on = "ie"
    """
    profile = load(on)
    head = _HEAD.format(title=profile.title, file=file, name=json.dumps(name, ensure_ascii=False), on=on)
    blocks = ["\n".join(_block(rule, profile)) for rule in profile.rules if list(_numbers(rule))]
    return "\n".join([head, *blocks])


def _block(rule: Rule, profile: Profile) -> Iterator[str]:
    source = profile.sources[rule.source].title
    unread = "" if rule.seen else " From memory: confirm."
    yield f"# {rule.title}: {rule.limit}. {source}, {rule.locator}.{unread}"
    yield "# [[tighter]]"
    yield f'# rule = "{rule.id}"'
    for key, value, tighter in _numbers(rule):
        yield f"# {key} = {value:g}  # {tighter} is tighter"
    yield '# why = ""'
    yield ""


def _numbers(rule: Rule) -> Iterator[tuple[str, float, str]]:
    """Yield each number of a rule that a kitchen may tighten, and which way is tighter."""
    if rule.minimum is not None:
        yield "minimum", rule.minimum, "higher"
    if rule.maximum is not None:
        yield "maximum", rule.maximum, "lower"
    if rule.minutes is not None and rule.form != "lethality":
        yield "minutes", rule.minutes, "longer" if rule.form == "hold" else "shorter"
    if rule.from_c is not None:
        yield "from_c", rule.from_c, "higher"
