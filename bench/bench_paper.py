"""The three papers of a visit within a second, once the typesetter is loaded."""

import statistics
import time
from typing import Any

from tests.report import samples

from evenground.report.build_view import build_view
from evenground.report.card_view import card_view
from evenground.report.paper import build_sheet_pdf, setup_card_pdf, width_strip_pdf
from evenground.report.strip_view import strip_view
from evenground.visit import StudioSettings

LIMIT_S = 1.0
RUNS = 9


def _papers(crowded: bool) -> tuple[bytes, bytes, bytes]:  # noqa: FBT001 (a switch of this file alone)
    visit, findings = (
        (samples.crowded_visit(), samples.crowded_findings())
        if crowded
        else (samples.full_visit(), samples.full_findings())
    )
    studio = StudioSettings()
    return (
        setup_card_pdf(card_view(visit, studio, findings)),
        width_strip_pdf(strip_view(visit, studio, findings)),
        build_sheet_pdf(build_view(visit, studio, findings)),
    )


def run() -> dict[str, Any]:
    """Time the three PDFs of an ordinary and of a crowded visit, the first run counted."""
    rows, times = [], {}
    for crowded in (False, True):
        seconds, made = [], set()
        for _ in range(RUNS):
            started = time.perf_counter()
            papers = _papers(crowded)
            seconds.append(time.perf_counter() - started)
            made.add(papers)
        assert len(made) == 1, "equal findings gave different papers"
        assert all(pdf.startswith(b"%PDF") for pdf in papers)
        name = "crowded" if crowded else "ordinary"
        times[name] = seconds
        rows.append(
            {
                "promise": f"three PDFs of the {name} visit, slowest of {RUNS}",
                "ours": f"{max(seconds):.2f} s (median {statistics.median(seconds):.2f} s)",
                "beside": "no peer; a limit",
                "limit": f"{LIMIT_S} s",
                "held": max(seconds) <= LIMIT_S,
            }
        )
    return {"promises": rows, "seconds": times}
