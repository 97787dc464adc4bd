"""An error budget as a drawing: each source's standard error, its share, and the whole below."""

from evenground.fit.budgets import FindingBudget
from evenground.report.charts import Bar, bars
from evenground.report.drawing import Drawing

__all__ = ["budget_drawing"]


def budget_drawing(found: FindingBudget) -> Drawing:
    """Sources largest first, each with its share of the variance; the dashed bar is all of them together."""
    made = found.budget
    rows = [
        Bar(words=_short(s.name), value=s.se, note=f"{100.0 * share:.0f} %")
        for s, share in zip(made.sources, found.shares, strict=True)
    ]
    rows.append(Bar(words="all together", value=made.se, hollow=True))
    return bars(rows, f"standard error, {made.unit}")


def _short(name: str) -> str:
    return name.removeprefix("the ")
