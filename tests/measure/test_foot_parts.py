"""How heel and forefoot move with the load: against laying the foot out anew on the moved load."""

import numpy as np
import pytest

from evenground.measure.contact import Contact, cell_positions_mm, find_contact
from evenground.measure.feet import FootShape, foot_shape
from evenground.measure.recording import FloatArray
from evenground.measure.sums import basis, mean_map
from evenground.simulate.foot import PrintKind
from evenground.simulate.mat import Mat, Standing, simulate_mat

PITCH = (5.0, 5.0)
MAT = Mat(rows=84, columns=120, pitch_x_mm=5.0, pitch_y_mm=5.0, noise_kpa=0.0)


def stood(kind: PrintKind) -> tuple[Contact, FloatArray]:
    standing = Standing(kind=kind, toe_out_left_deg=20.0, toe_out_right_deg=33.0)
    recording = simulate_mat(standing, MAT, None, rng=np.random.default_rng(1)).recording
    return find_contact(recording, mean_map(recording.cells)), cell_positions_mm(recording)


def right(contact: Contact, load: FloatArray, at: FloatArray) -> FootShape:
    return foot_shape(contact.right, load, at, PITCH, "right")


def centres(shape: FootShape) -> FloatArray:
    return np.concatenate([shape.heel_mm, shape.forefoot_mm])


def by_columns(contact: Contact, shape: FootShape, load: FloatArray, at: FloatArray) -> FloatArray:
    """Heel and forefoot centre as the sums of one frame give them, the parts laid out beforehand."""
    sums = load @ basis(at, np.zeros(2), [(contact.right, shape)])
    return np.concatenate([sums[4:6] / sums[3], sums[7:9] / sums[6]])


@pytest.mark.parametrize("kind", ["bare", "shod", "high arch", "flat arch", "toes apart", "sock"])
@pytest.mark.parametrize("across", [0, 1])
def test_a_foot_that_leans_moves_its_centres_as_if_laid_out_anew(kind: PrintKind, across: int) -> None:
    contact, at = stood(kind)
    shape = right(contact, contact.load, at)
    lean = contact.load * (at - shape.heel_mm)[:, 1 - across] * 2e-4
    moved = centres(right(contact, contact.load + lean, at)) - centres(shape)
    seen = by_columns(contact, shape, contact.load + lean, at) - centres(shape)
    assert seen == pytest.approx(moved, abs=0.03 * np.abs(moved).max())


def test_parts_that_stay_where_they_were_would_miss_a_third_of_it() -> None:
    contact, at = stood("bare")
    shape = right(contact, contact.load, at)
    lean = contact.load * (at - shape.heel_mm)[:, 1] * 2e-4
    moved = right(contact, contact.load + lean, at).heel_mm - shape.heel_mm
    weights = (contact.load + lean) * shape.heel
    still = (weights @ at) / weights.sum() - shape.heel_mm
    assert np.linalg.norm(still) < 0.72 * np.linalg.norm(moved)


def test_one_cell_that_reads_too_much_moves_its_foot_as_if_laid_out_anew() -> None:
    contact, at = stood("bare")
    shape = right(contact, contact.load, at)
    for cell in np.flatnonzero(contact.right.touched)[::97]:
        load = contact.load.copy()
        load[cell] *= 1.01
        moved = centres(right(contact, load, at)) - centres(shape)
        seen = by_columns(contact, shape, load, at) - centres(shape)
        assert seen == pytest.approx(moved, abs=max(0.03 * np.abs(moved).max(), 1e-6))


def test_the_mean_map_itself_has_its_own_centres() -> None:
    rng = np.random.default_rng(5)
    contact, at = stood("sock")
    load = contact.load + 0.2 * rng.standard_normal(len(at))  # noise below zero, which a foot has none of
    shape = right(contact, load, at)
    assert load @ shape.heel_moves == pytest.approx(np.zeros(2), abs=1e-6 * load.sum())
    assert load @ shape.forefoot_moves == pytest.approx(np.zeros(2), abs=1e-6 * load.sum())
