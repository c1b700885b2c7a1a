"""The figures of a kitchen in the text form that Prometheus reads. Needs the extra ``site``."""

from __future__ import annotations

from kit.basics.errors import BadData
from kit.records.upkeep.site_health import SiteHealth

_SAYS = {
    "books_waiting": "Answer books in the inbox that are not taken in",
    "books_unreadable": "Files in the inbox that are no readable book",
    "oldest_waiting_h": "Hours for which the oldest of them has waited",
    "takings": "Books taken in since the records began",
    "last_taking_h": "Hours since the last book was taken in",
    "acts": "Acts in the chain",
    "chain_problems": "Problems that the last check of the chain named",
    "chain_checked_h": "Hours since the chain was checked",
    "chain_check_s": "Seconds that the check took",
    "backup_age_h": "Hours since the last backup",
    "backup_problems": "Problems that the last backup named",
    "backup_tried_h": "Hours since a backup was put back as a trial",
    "errors_24h": "Errors in the site log of the last 24 hours",
}


def metrics_text(found: SiteHealth | None) -> bytes:
    """Return the figures as metrics. What nobody knows is left out; ``smokehouse_up`` is 0 without records.

    Raises
    ------
    BadData
        If the library is not installed.

    Examples
    --------
    >>> print(metrics_text(None).decode())
    # HELP smokehouse_up Whether the records could be read
    # TYPE smokehouse_up gauge
    smokehouse_up 0.0
    <BLANKLINE>
    """
    try:
        from prometheus_client import CollectorRegistry, Gauge, generate_latest
    except ModuleNotFoundError:
        raise BadData("metrics", "a library is missing", "pip install 'smokehouse-kit[site]'") from None
    registry = CollectorRegistry()
    up = Gauge("smokehouse_up", "Whether the records could be read", registry=registry)
    up.set(0 if found is None else 1)
    if found is not None:
        wrong = Gauge("smokehouse_wrong", "How many things are wrong or late", registry=registry)
        wrong.set(len(found.wrong()))
    for name, says in _SAYS.items():
        value = None if found is None else getattr(found, name)
        if value is not None:
            Gauge(f"smokehouse_{name}", says, registry=registry).set(value)
    return generate_latest(registry)
