"""The build sheet: every club with its order or its reason, an error to every figure."""

import io
import re
from dataclasses import replace

import pdfplumber

from evenground.fit.grip_build import fit_grip
from evenground.report.build_view import AS_BUILT, BuildView, build_view
from evenground.report.paper import build_sheet_pdf
from evenground.visit import StudioSettings
from tests.report import samples


def view() -> BuildView:
    return build_view(samples.full_visit(), StudioSettings(), samples.full_findings())


def text(shown: BuildView) -> str:
    with pdfplumber.open(io.BytesIO(build_sheet_pdf(shown))) as pdf:
        return "\n".join(page.extract_text() for page in pdf.pages)


def test_every_club_stands_there_with_an_answer_word() -> None:
    said = {club.mark: club.answer for club in view().clubs}
    assert list(said) == ["Driver", "7-iron", "Wedge", "Putter"]
    assert set(said.values()) <= {"build", "build, nearest", "stays", "measure", "not built"}
    printed = text(view())
    assert all(mark in printed for mark in said)


def test_layers_and_sizes_are_those_of_the_best_build() -> None:
    driver = view().clubs[0]
    best = fit_grip(samples.wanted(), samples.stock(), samples.clubs()[0]).builds[0]
    assert best.layers is not None
    assert best.built_mm is not None
    rows = {row.what: row for row in driver.rows}
    assert rows["tape"].upper.startswith(f"{best.layers.upper} layer")
    assert rows["built, expected"].lower.startswith(f"{best.built_mm.lower:.1f} ± ")


def test_every_figure_of_the_table_has_an_error_or_counts_layers() -> None:
    for club in view().clubs:
        for row in club.rows:
            for cell in (row.upper, row.lower):
                assert re.search(r" ± |layers? of tape|measure|no hand", cell), cell
        assert all("±" in fact or "Rules" in fact for fact in club.facts)


def test_an_unknown_butt_says_measure_and_gives_no_layers() -> None:
    own = tuple(replace(c, butt_upper_mm=None) for c in samples.clubs(1))
    findings = replace(
        samples.full_findings(),
        findings=(samples.finding("grip.wanted", samples.wanted()), *samples.builds(own)),
    )
    (club,) = build_view(replace(samples.full_visit(), own_clubs=own), StudioSettings(), findings).clubs
    assert club.answer == "measure"
    assert not any(row.what == "tape" for row in club.rows)
    assert any("butt" in note for note in club.notes)


def test_a_size_out_of_reach_gets_the_nearest_and_what_is_missing() -> None:
    driver = view().clubs[0]
    assert driver.answer == "build, nearest"
    assert any("cannot reach" in note for note in driver.notes)


def test_each_club_that_is_built_has_room_for_what_came_back() -> None:
    printed = text(view())
    built = sum(club.answer != "stays" for club in view().clubs)
    assert all(printed.count(name) >= built for name in AS_BUILT)


def test_without_hands_the_sheet_says_why_there_is_nothing_to_build() -> None:
    empty = build_view(samples.sparse_visit(), StudioSettings(), samples.sparse_findings())
    assert "the hands were not measured (not done)" in text(empty).replace("\n", " ")
