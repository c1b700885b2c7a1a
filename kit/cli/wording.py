"""A kitchen file in a few lines, as several commands show it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kit.basics.quantities import count_of

if TYPE_CHECKING:
    from kit.files.kitchen_file import Kitchen


def kitchen_summary(kitchen: Kitchen) -> list[str]:
    """Return what somebody must see before they trust a kitchen file: name, rules, keys, who signed."""
    rules = kitchen.rules()
    changed = sum(bool(rule.tightened) for rule in rules) + len(kitchen.own)
    signer = kitchen.signer
    who = signer.name if signer else "nobody on its list"
    lines = [
        f"Kitchen    {kitchen.name}, version {kitchen.version} of {kitchen.made_at:%Y-%m-%d}",
        f"Rules      {kitchen.profile}, {count_of(changed, 'house limit') if changed else 'no house limits'}",
        f"Signed by  {who}, key {kitchen.signed_by}",
        *(f"{one.role.capitalize():<10} {one.name}, key {one.key_id}" for one in kitchen.keys),
        f"Id         {kitchen.stamp}",
    ]
    return lines
