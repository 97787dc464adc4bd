"""Dead and stuck cells of a mat that nobody checked: found under the feet, filled, said; nothing else is."""

from dataclasses import replace

import numpy as np
import pytest

from evenground.instruments import KnownWeight
from evenground.measure.ground import describe
from evenground.measure.instrument_apply import MatChecks
from evenground.measure.one_foot import describe_lone_foot
from evenground.measure.recording import MatRecording
from evenground.measure.suspect_cells import suspect_cells
from evenground.simulate.foot import PRINTS, PrintKind
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat
from tests.sure import sure

SWAYING = Swaying(duration_s=5.0, rate_hz=10.0)
MAT = Mat(rows=52, columns=72, pitch_x_mm=10.0, pitch_y_mm=10.0, noise_kpa=0.5)


def stood(
    standing: Standing | None = None, mat: Mat = MAT, swaying: Swaying | None = SWAYING
) -> MatRecording:
    return simulate_mat(standing or Standing(), mat, swaying, rng=np.random.default_rng(4)).recording


def amid_load(recording: MatRecording) -> tuple[int, int]:
    """A cell of the left foot whose neighbours all carry much: the one with the highest least neighbour."""
    mean = recording.cells.mean(axis=0)
    mean[:, mean.shape[1] // 2 :] = 0.0
    rows, columns = mean.shape
    least = {
        (r, c): mean[r - 1 : r + 2, c - 1 : c + 2].min()
        for r in range(1, rows - 1)
        for c in range(1, columns - 1)
    }
    return max(least, key=lambda cell: float(least[cell]))


def with_cell(recording: MatRecording, cell: tuple[int, int], value: float) -> MatRecording:
    cells = recording.cells.copy()
    cells[:, cell[0], cell[1]] = value
    return replace(recording, cells=cells)


@pytest.mark.parametrize("value", [0.0, 250.0])
def test_a_dead_or_stuck_cell_is_found_filled_and_said(value: float) -> None:
    sound = stood()
    cell = amid_load(sound)
    faulty = with_cell(sound, cell, value)
    assert suspect_cells(faulty) == (cell,)
    one, other = (describe(r, handed="right") for r in (sound, faulty))
    share, seen = (sure(g.feet.left.load_percent) for g in (one, other))
    # a kPa on 100 mm^2 is 0.1 N, half of which a share of the left foot's gains
    raw = abs(value - float(sound.cells[:, cell[0], cell[1]].mean())) * 0.1 / 735.5 * 50.0
    assert abs(seen.value - share.value) < 0.25 * raw
    assert [f.code for f in other.grade.flags if f.code == "suspect-cells"] == ["suspect-cells"]
    assert sure(other.total_force_n).se > sure(one.total_force_n).se
    assert "suspect-cells" not in [f.code for f in one.grade.flags]


@pytest.mark.parametrize("kind", list(PRINTS))
@pytest.mark.parametrize("pitch", [5.0, 12.0])
def test_no_print_is_taken_for_a_fault(kind: PrintKind, pitch: float) -> None:
    size = {"rows": int(520.0 / pitch), "columns": int(720.0 / pitch)}
    mat = Mat(**size, pitch_x_mm=pitch, pitch_y_mm=pitch, noise_kpa=2.0, gain_spread=0.05)
    assert suspect_cells(stood(Standing(kind=kind), mat)) == ()
    assert suspect_cells(stood(Standing(kind=kind), replace(mat, noise_kpa=0.0), None)) == ()


def test_a_patterned_sole_is_no_set_of_faults() -> None:
    recording = stood(Standing(shod=True))
    cells = recording.cells.copy()
    cells[:, ::3, ::3] = 0.0
    assert suspect_cells(replace(recording, cells=cells)) == ()


def test_cells_at_the_end_of_their_range_are_not_stuck() -> None:
    recording = stood(mat=replace(MAT, noise_kpa=0.0))
    top = float(np.quantile(recording.cells, 0.99))
    assert suspect_cells(replace(recording, cells=np.minimum(recording.cells, np.float32(top)))) == ()


def test_a_mat_upside_down_has_its_fault_in_the_mirrored_cell() -> None:
    sound = stood()
    row, column = amid_load(sound)
    faulty = with_cell(sound, (row, column), 0.0)
    turned = replace(faulty, cells=faulty.cells[:, ::-1, ::-1].copy())
    assert suspect_cells(turned) == ((51 - row, 71 - column),)


def test_an_only_foots_force_has_the_error_of_the_gain() -> None:
    recording = stood(Standing(missing="right"))
    sure_of = [
        KnownWeight(x_mm=(200.0,), y_mm=(200.0,), mass_kg=(20.0,), gain=(1.0,), gain_se=(se,)) for se in SES
    ]
    forces = [
        sure(
            describe_lone_foot(
                recording, missing="right", checks=MatChecks(name="mat", known=k)
            ).total_force_n
        )
        for k in sure_of
    ]
    # the weight's own error, and beside it how much a mat's gain may differ from place to place
    own = [force.se / force.value for force in forces]
    assert own[1] ** 2 - own[0] ** 2 == pytest.approx(SES[1] ** 2 - SES[0] ** 2, rel=0.1)
    assert own[0] > 0.002


SES = (0.001, 0.05)
