"""The ten invented cases as a page of one file, to print or to read on a screen."""

from __future__ import annotations

from html import escape

from kit import criteria
from kit.statistics.invented_cases import InventedCase, invented_cases

WIDE, HIGH, LEFT, BELOW = 320.0, 150.0, 34.0, 26.0
_STYLE = """
body{font:16px/1.5 Georgia,serif;color:#222;background:#fffdf8;max-width:46rem;margin:0 auto;padding:1rem}
section{border-top:1px solid #bbb;padding:.6rem 0;break-inside:avoid}
h1{font-size:1.5rem}h2{font-size:1.15rem;margin:.2rem 0}p{margin:.4rem 0}.q{font-style:italic}
td{padding:.15rem 1.2rem .15rem 0;vertical-align:top}.n{font-size:.9rem;color:#555}
svg{max-width:100%;height:auto;display:block}svg text{font:11px sans-serif;fill:#333}
"""
_HEAD = """<!doctype html><html lang="en-GB"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width,initial-scale=1"><title>Ten invented cases</title>
<style>%s</style></head><body><main><h1>Ten invented cases</h1>
<p>Judge each alone, without talking: <b>met</b> or <b>not met</b>. Write it into the sheet; leave a cell
empty if you cannot. Some lie at the edge on purpose. There is no key: what counts is where you part, and
why. Talk about it afterwards.</p>
<p class="n">People, batches, cards and limits here are invented. They are no law, and no batch
is released by them. Your own card and a competent person decide.</p>"""


def case_page() -> str:
    """Return the page, without a script: the cases, with figures and logs, and how to judge them."""
    cases = "".join(_section(each) for each in invented_cases())
    return f"{_HEAD % _STYLE}{cases}</main></body></html>\n"


def _section(case: InventedCase) -> str:
    asked = criteria.get(case.criterion)
    rows = "".join(f"<tr><td>{escape(what)}</td><td>{escape(says)}</td></tr>" for what, says in case.facts)
    table = f"<table><tbody>{rows}</tbody></table>" if rows else ""
    head = f'<h2>{escape(case.title)}</h2><p class="q">{case.id}, {asked.id}: {escape(asked.text)}</p>'
    drawn = f'{drawing(case)}<p class="n">{_readings(case)}.</p>' if case.log else ""
    return f"<section>{head}<p>{escape(case.told)}</p>{table}{drawn}</section>"


def drawing(case: InventedCase) -> str:
    """Return the log of a case as SVG: a line with its points, and the limit dashed."""
    values = [value for _, value in case.log] + ([] if case.limit is None else [case.limit])
    low, high, last = min(values) - 1, max(values) + 1, case.log[-1][0]

    def at(minute: float, value: float) -> tuple[float, float]:
        x = LEFT + (WIDE - LEFT - 6) * minute / last
        return x, (HIGH - BELOW) * (high - value) / (high - low) + 4

    points = [at(*each) for each in case.log]
    line = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    dots = "".join(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="2.6" fill="#1d5c63"/>' for x, y in points)
    limit = ""
    if case.limit is not None:
        _, y = at(0, case.limit)
        limit = f'<path d="M{LEFT} {y:.1f}H{WIDE}" stroke="#a33" stroke-dasharray="5 3"/>'
        limit += f'<text x="2" y="{y + 4:.1f}">{case.limit:g}</text>'
    words = escape(f"{case.log_says} [{case.log_unit}]")
    ends = f'<text x="{LEFT}" y="{HIGH - 4}">0 min</text>'
    ends += f'<text x="{WIDE - 4}" y="{HIGH - 4}" text-anchor="end">{last:g} min</text>'
    size = f'viewBox="0 0 {WIDE:g} {HIGH:g}" width="{1.4 * WIDE:g}"'
    line = f'<polyline points="{line}" fill="none" stroke="#1d5c63" stroke-width="1.5"/>'
    return f'<svg {size} role="img" aria-label="{words} over time">{limit}{line}{dots}{ends}</svg>'


def _readings(case: InventedCase) -> str:
    told = ", ".join(f"{minute:g} min {value:g}" for minute, value in case.log)
    return escape(f"{case.log_says} [{case.log_unit}]: {told}")
