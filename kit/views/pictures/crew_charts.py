"""Charts of a group's tables: bars with their figures, and how long it takes until something is shown."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from kit.views.pictures import ink
from kit.views.pictures.register import Drawing

if TYPE_CHECKING:
    from pandas import DataFrame, Series


FEWEST = 5  # fewer people and criteria than this say too little for a line: ours


def bars(values: Series[Any], axis: str, *, title: str = "") -> Drawing:
    """Draw one bar a row, the first on top, each with its figure.

    Parameters
    ----------
    values : Series
        Numbers, by the label of their bar.
    axis : str
        What they are, with the unit: "Right first time [%]".
    title : str
        A line above.

    Examples
    --------
    >>> import pandas as pd
    >>> bars(pd.Series({"cure": 62.5, "cook": 48.0}), "Right first time [%]").text
    'Right first time [%]: cure 62; cook 48.'
    """
    labels, lengths = [str(each) for each in values.index], [float(each) for each in values]
    figure, ax = ink.sheet(0.9 + 0.34 * len(lengths))
    drawn = ax.barh(range(len(lengths)), lengths, height=0.62, color=ink.LINES[0]["color"])
    ax.bar_label(
        drawn,
        [f"{each:.0f}".replace("-", "−") for each in lengths],
        padding=4,
        color=ink.INK,
        fontsize=ink.WORDS_PT,
    )
    ax.set_yticks(range(len(lengths)), labels)
    ax.invert_yaxis()
    ax.grid(False, axis="y")
    ax.margins(x=0.08)
    ax.set_xlabel(axis)
    if title:
        ax.set_title(title, loc="left", fontsize=ink.WORDS_PT, color=ink.INK)
    told = "; ".join(f"{label} {length:.0f}" for label, length in zip(labels, lengths, strict=True))
    return Drawing(figure, f"{f'{title}. ' if title else ''}{axis}: {told}.")


def ranges(table: DataFrame, axis: str, *, mark: float | None = None, title: str = "") -> Drawing:
    """Draw a point a row with the ends of its interval, the first on top; rows without a figure are left out.

    Parameters
    ----------
    table : DataFrame
        Value, lower and upper end: its first three columns, by the label of their row.
    axis : str
        What they are, with the unit.
    mark : float, optional
        Where a line stands that means something, such as 0.
    title : str
        A line above.

    Examples
    --------
    >>> import pandas as pd
    >>> two = pd.DataFrame({"r": [0.4, -0.1], "low": [0.3, -0.2], "high": [0.5, 0.0]})
    >>> ranges(two.set_axis(["the-brine", "the-core"]), "Discrimination", mark=0).text
    'Discrimination: the-brine 0.40 (0.30 to 0.50); the-core −0.10 (−0.20 to 0.00).'
    """
    known = table.iloc[:, :3].dropna().astype(float)
    middle, low, high = (known.iloc[:, each].to_numpy() for each in range(3))
    figure, ax = ink.sheet(0.9 + 0.34 * len(known))
    ax.errorbar(
        middle,
        range(len(known)),
        xerr=[middle - low, high - middle],
        fmt="o",
        color=ink.LINES[0]["color"],
        markersize=6,
        linewidth=2,
        capsize=4,
    )
    if mark is not None:
        ax.axvline(mark, color=ink.INK, linewidth=1.2, linestyle=(0, (4, 2)))
    ax.set_yticks(range(len(known)), [str(each) for each in known.index])
    ax.set_ylim(len(known) - 0.4, -0.6)
    ax.grid(False, axis="y")
    ax.set_xlabel(axis)
    if title:
        ax.set_title(title, loc="left", fontsize=ink.WORDS_PT, color=ink.INK)
    figures = (
        f"{value:.2f} ({below:.2f} to {above:.2f})".replace("-", "−")
        for value, below, above in zip(middle, low, high, strict=True)
    )
    told = "; ".join(f"{label} {said}" for label, said in zip(known.index, figures, strict=True))
    return Drawing(figure, f"{f'{title}. ' if title else ''}{axis}: {told}.")


def shown_lines(shown: DataFrame) -> Drawing:
    """Draw what share has shown a criterion against the days since the first try.

    Parameters
    ----------
    shown : DataFrame
        From ``kit.tables.shown_by_day``. A line stops where fewer than five are still trying.

    Examples
    --------
    >>> import pandas as pd
    >>> shown = pd.DataFrame({"safety_critical": [False], "days": [4], "trying": [9], "shown_pct": [33.3]})
    >>> shown_lines(shown).text
    'Shown in practice against days since the first try. Other criteria: 33 % after 4 days.'
    """
    figure, ax = ink.sheet(3.2)
    told, ends = ["Shown in practice against days since the first try."], []
    for critical, line in ((False, ink.LINES[0]), (True, ink.LINES[1])):
        part = shown[(shown["safety_critical"] == critical) & (shown["trying"] >= FEWEST)]
        if part.empty:
            continue
        name = "Safety-critical criteria" if critical else "Other criteria"
        days = [0.0, *part["days"].astype(float)]
        share = [0.0, *part["shown_pct"].astype(float)]
        ax.step(days, share, where="post", **line)
        ends.append((days[-1], share[-1], name.replace(" ", "\n")))
        half = next((day for day, pct in zip(days, share, strict=True) if pct >= 50), None)
        middle = "" if half is None else f"half after {half:.0f} days; "
        told.append(f"{name}: {middle}{share[-1]:.0f} % after {days[-1]:.0f} days.")
    ax.set_ylim(0, 100)
    ax.set_xlim(left=0)
    ax.set(xlabel="Days since the first try", ylabel="Shown in practice [%]")
    close = len(ends) == 2 and abs(ends[0][1] - ends[1][1]) < 24
    for place, (day, pct, name) in enumerate(sorted(ends, key=lambda end: end[1])):
        lifted = (pct - 12 if place == 0 else pct + 12) if close else pct
        ink.name_line(ax, day, min(max(lifted, 6), 94), f" {name}", bbox=None)
    return Drawing(figure, " ".join(told))
