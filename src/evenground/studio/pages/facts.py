"""Figures of the findings beside a check: the same rows as overleaf on the card."""

from evenground.report.evidence_figures import figure_rows
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import Fact

__all__ = ["figures", "reason"]


def figures(scene: Scene, *groups: str) -> tuple[Fact, ...]:
    """Every figure whose group begins with one of these words, with its error; none before findings."""
    if scene.findings is None:
        return ()
    rows = figure_rows(scene.findings, scene.system)
    return tuple(
        Fact(
            what=row.what,
            figure=row.figure,
            note=f"{row.readings} reading{'' if row.readings == '1' else 's'}",
        )
        for row in rows
        if row.group.lower().startswith(groups)
    )


def reason(scene: Scene, kind: str) -> str:
    """Why something could not be worked out, empty when it could or was not tried."""
    found = None if scene.findings is None else scene.findings.of(kind)
    return (found.reason or "") if found is not None and found.value is None else ""
