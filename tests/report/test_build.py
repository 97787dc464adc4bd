"""The build sheet: every club with its order or its reason, an error to every figure."""

import io
import re
from dataclasses import replace

import pdfplumber
import pytest

from evenground.fit.bag import describe_bag
from evenground.fit.grip import entered_diameters
from evenground.fit.grip_build import fit_grip
from evenground.plain import to_plain
from evenground.report.bag_view import bag_rows
from evenground.report.build_view import AS_BUILT, BuildClub, BuildView, build_view
from evenground.report.drawing import Mark
from evenground.report.paper import build_sheet_pdf, paper_again
from evenground.stock import GripSection, MeasuredSection, Stock, StockGrip, Tape
from evenground.visit import OwnClub, StudioSettings
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


IRON = OwnClub(
    mark="7 iron",
    family="irons",
    butt_upper_mm=15.2,
    butt_lower_mm=14.6,
    grip_upper_mm=22.0,
    grip_lower_mm=20.0,
    total_mass_g=425.0,
    balance_mm=690.0,
    grip_mass_g=50.0,
)
ASH = StockGrip(
    mark="ash",
    length_mm=267.0,
    installed_length_mm=272.0,
    mass_g=50.0,
    cap_mm=4.0,
    rib=True,
    sections=tuple(
        GripSection(station_mm=z, outside_mm=d, core_mm=c)
        for z, d, c in ((12.0, 26.4, 14.9), (50.0, 23.0, 14.9), (150.0, 21.0, 14.7), (255.0, 18.4, 14.2))
    ),
)
FLAT = StockGrip(
    mark="flat",
    length_mm=268.0,
    mass_g=70.0,
    shape="not round",
    measured=(
        MeasuredSection(station_mm=15.0, width_mm=31.0, depth_mm=27.0),
        MeasuredSection(station_mm=250.0, width_mm=28.0, depth_mm=24.0),
    ),
)
ROLL = Tape(
    double_sided_mm=0.127, build_up_mm=0.127, layer_mass_g=1.5, most_layers=8, width_mm=50.0, overlap_mm=2.0
)


def one_club(club: OwnClub, grip: StockGrip, upper: float = 24.2, lower: float = 23.0) -> BuildClub:
    wanted = entered_diameters(upper, lower)
    fit = fit_grip(wanted, Stock(tape=ROLL, grips=(grip,)), club, worn_grip_mass_g=club.grip_mass_g)
    found = (samples.finding("grip.wanted", wanted), samples.finding(f"grip.build.{club.mark}", fit))
    findings = replace(samples.full_findings(), findings=found)
    (shown,) = build_view(replace(samples.full_visit(), own_clubs=(club,)), StudioSettings(), findings).clubs
    return shown


def test_the_workshop_reads_how_the_grip_is_made() -> None:
    work = dict(one_club(IRON, ASH).work)
    assert work["grip"] == "rib at the back of the shaft, square to the face"
    assert work["installed length"].startswith("272 mm")
    assert work["tape"] == "50 mm wide, edges 2 mm over each other; the first layer double-sided"
    assert work["blend"].startswith("layers end one by one from 76 to 127 mm below the cap")
    assert work["cap"] == "stands 4 mm over the end of the shaft"
    assert work["mass"].startswith("before 425 ± 1 g; finished 43")


def test_a_club_not_weighed_is_to_be_weighed_and_its_style_is_told() -> None:
    club = replace(IRON, total_mass_g=None, grip_style="cross-handed", glove="none")
    work = dict(one_club(club, ASH).work)
    assert work["mass"] == "before weigh it"
    assert work["hands"] == "held cross-handed, no glove"


def test_a_measured_grip_is_ordered_as_it_was_measured() -> None:
    club = one_club(replace(IRON, family="putter", butt_upper_mm=None), FLAT, upper=28.0, lower=27.0)
    assert club.order == "Fit flat as it was measured, on one layer of double-sided tape."
    assert dict(club.work)["grip"] == "flat front square to the face"
    assert not any(row.what == "tape" for row in club.rows)
    assert club.drawing is not None
    upper, lower = (m for m in club.drawing.marks if m.kind == "line" and m.style == "ink")
    assert wide_and_deep(upper) == pytest.approx(
        (31.0 - 3.0 * 35.8 / 235.0, 27.0 - 3.0 * 35.8 / 235.0),
        abs=0.03,  # ninety corners miss the top of an oval by up to 0.02 mm
    )
    assert wide_and_deep(lower)[0] > wide_and_deep(lower)[1]
    assert "new 30.5 × 26.5 mm" in [m.text for m in club.drawing.marks]


def wide_and_deep(mark: Mark) -> tuple[float, float]:
    xs, ys = zip(*mark.points_mm, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def test_two_grips_on_a_putter_are_drawn_with_the_bare_shaft_between_them() -> None:
    two = replace(
        FLAT,
        shape="round",
        gap_mm=(140.0, 300.0),
        length_mm=450.0,
        measured=tuple(
            MeasuredSection(station_mm=z, width_mm=d, depth_mm=d)
            for z, d in ((15.0, 27.0), (135.0, 26.0), (305.0, 25.0), (445.0, 24.0))
        ),
    )
    putter = replace(IRON, family="putter", lower_station_mm=360.0)
    club = one_club(putter, two, upper=27.0, lower=25.0)
    assert club.profile is not None
    edges = [m for m in club.profile.marks if m.style == "bold"]
    assert len(edges) == 4  # two grips, two edges each
    assert not any(140.0 < x < 300.0 for m in edges for x, _ in m.points_mm)
    ends = {x for m in club.profile.marks if m.style == "hair" for x, _ in m.points_mm}
    assert {140.0, 300.0, 450.0} <= ends


def test_no_grip_that_goes_over_the_butt_is_told_at_the_head() -> None:
    tight = replace(ASH, sections=tuple(replace(s, core_mm=10.5) for s in ASH.sections))
    club = one_club(IRON, tight)
    assert club.answer == "cannot be built"
    assert any("take a grip with a wider bore" in note for note in club.notes)


def test_the_sections_are_drawn_at_true_size_and_the_profile_along_the_length() -> None:
    club = one_club(IRON, ASH)
    assert club.drawing is not None
    assert club.profile is not None
    rings = {
        style: sorted(
            round(max(x for x, _ in m.points_mm) - min(x for x, _ in m.points_mm), 2)
            for m in club.drawing.marks
            if m.kind == "line" and m.style == style
        )
        for style in ("ink", "dots", "soft")
    }
    built = next(row for row in club.rows if row.what == "built, expected")
    assert f"{rings['ink'][1]:.1f}" in built.upper
    assert f"{rings['ink'][0]:.1f}" in built.lower
    assert rings["dots"] == [20.0, 22.0]  # on it now
    assert rings["soft"] == [14.6, 15.2]  # bare butt
    edge = next(m for m in club.profile.marks if m.style == "bold").points_mm
    assert [x for x, _ in edge] == sorted(x for x, _ in edge)
    assert edge[-1][0] == pytest.approx(255 * 272 / 267, abs=0.05)
    now = [m for m in club.profile.marks if m.style == "dots"]
    assert {round(2 * abs(y), 1) for m in now for _, y in m.points_mm} == {22.0, 20.0}


def test_a_left_handed_player_s_club_is_drawn_the_same() -> None:
    # A grip is round: nothing on its sheet has a side but the hands, which are told by upper and lower.
    fitted = fit_grip(entered_diameters(24.2, 23.0), Stock(tape=ROLL, grips=(ASH,)), IRON)
    found = (samples.finding("grip.wanted", fitted.wanted), samples.finding("grip.build.7 iron", fitted))
    visit = replace(samples.full_visit(), own_clubs=(IRON,))
    left = replace(visit, player=replace(visit.player, handed="left"))
    findings = replace(samples.full_findings(), findings=found)
    one, other = (build_view(v, StudioSettings(), findings).clubs for v in (visit, left))
    assert one == other


def test_the_sheet_ends_with_the_whole_bag_as_one_table_and_one_picture() -> None:
    visit, findings = samples.full_visit(), samples.full_findings()
    clubs = tuple(replace(c, length_mm=940.0, lie_deg=62.5) for c in visit.own_clubs)
    bag = describe_bag(clubs)
    found = replace(findings, findings=(*findings.findings, samples.finding("clubs", bag)))
    shown = build_view(replace(visit, own_clubs=clubs), StudioSettings(), found)
    assert shown.bag is not None
    assert (shown.bag.columns, shown.bag.rows) == bag_rows(bag)
    assert shown.bag.drawing is not None
    assert "The whole bag as it came in" in text(shown)


def test_a_sheet_signed_before_bags_were_on_it_is_printed_as_it_was() -> None:
    plain = to_plain(view())
    assert plain.pop("bag") is None
    assert paper_again("build-sheet", plain) == build_sheet_pdf(view())
