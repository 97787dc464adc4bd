"""Known truth: how often the 95 % intervals of a simulated stance hold it."""

from typing import Any

import numpy as np

from evenground.estimate import Estimate
from evenground.measure.ground import Ground, describe
from evenground.simulate.mat import Mat, StanceTruth, Standing, Swaying, simulate_mat

CLAIMED = ("load", "width", "toe-out", "CoP along x", "CoP along y", "CoP on the foot")
WATCHED = ("fore-aft offset", "heel line", "load line", "force")
LOW, HIGH = 0.93, 0.97


def draw(rng: np.random.Generator) -> tuple[Standing, Mat, Swaying]:
    """One player, mat and sway: bare or shod, right- or left-handed, fine or coarse cells, quiet or noisy."""
    pitch = float(rng.choice([6.0, 8.0, 10.0, 12.0]))
    stretch = float(rng.choice([1.0, 1.0, 1.25]))
    standing = Standing(
        width_mm=rng.uniform(200.0, 460.0),
        left_ahead_mm=rng.uniform(-25.0, 25.0),
        toe_out_left_deg=rng.uniform(0.0, 25.0),
        toe_out_right_deg=rng.uniform(0.0, 25.0),
        load_left_percent=rng.uniform(40.0, 60.0),
        forward_mm=rng.uniform(-8.0, 8.0),
        foot_length_mm=rng.uniform(235.0, 300.0),
        mass_kg=rng.uniform(50.0, 110.0),
        shod=bool(rng.integers(2)),
        handed="right" if rng.integers(2) else "left",
        stance_turned_deg=rng.uniform(-4.0, 4.0),
        shift_mm=(rng.uniform(-10.0, 10.0), rng.uniform(-10.0, 10.0)),
    )
    mat = Mat(
        rows=int(480.0 / pitch / stretch),
        columns=int(800.0 / pitch),
        pitch_x_mm=pitch,
        pitch_y_mm=pitch * stretch,
        noise_kpa=rng.uniform(0.0, 1.2),
        offset_kpa=float(rng.choice([0.0, 0.0, 0.5])),
    )
    swaying = Swaying(
        duration_s=rng.uniform(8.0, 20.0),
        rate_hz=float(rng.choice([8.0, 10.0, 12.0])),
        slow_s=float(np.clip(3.0 * np.exp(rng.standard_normal()), 0.5, 12.0)),
        ahead_rms_mm=rng.uniform(2.0, 6.0),
        load_rms_percent=rng.uniform(0.4, 1.5),
    )
    return standing, mat, swaying


def compare(ground: Ground, truth: StanceTruth) -> list[tuple[str, Estimate | None, float]]:
    """Figures and their truths, under the names of the claims."""
    left, right = ground.feet.left, ground.feet.right
    rows = [
        ("load", left.load_percent, truth.load_left_percent),
        ("width", ground.stance_width_mm.heel_centres, truth.heel_centres_mm),
        ("toe-out", left.toe_out_deg, truth.toe_out_left_deg),
        ("toe-out", right.toe_out_deg, truth.toe_out_right_deg),
        ("CoP along x", ground.cop_mm.x, truth.cop_x_mm),
        ("CoP along y", ground.cop_mm.y, truth.cop_y_mm),
        ("CoP on the foot", left.cop_percent_length, truth.cop_left_percent_length),
        ("CoP on the foot", right.cop_percent_length, truth.cop_right_percent_length),
        ("fore-aft offset", ground.fore_aft_offset_mm, truth.fore_aft_offset_mm),
        ("heel line", ground.heel_line_deg, truth.heel_line_deg),
        ("load line", ground.load_line_deg, truth.load_line_deg),
    ]
    if ground.total_force_n is not None:
        rows.append(("force", ground.total_force_n, truth.total_force_n))
    return rows


def coverage(count: int, seed: int) -> dict[str, list[bool]]:
    """Whether each interval of `count` simulated stances held its truth, by claim."""
    held: dict[str, list[bool]] = {}
    for rng in map(np.random.default_rng, np.random.SeedSequence(seed).spawn(count)):
        standing, mat, swaying = draw(rng)
        made = simulate_mat(standing, mat, swaying, rng=rng)
        ground = describe(made.recording, handed=standing.handed, mass_kg=standing.mass_kg)
        for name, estimate, truth in compare(ground, made.truth):
            held.setdefault(name, []).append(estimate is not None and estimate.interval().holds(truth))
    return held


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """One row a claim: the share of intervals that held the truth, its limits, whether it lies in them."""
    rows: list[dict[str, Any]] = []
    for name, held in coverage(count, seed).items():
        share = float(np.mean(held))
        claimed = name in CLAIMED
        rows.append(
            {
                "claim": f"95 % intervals of {name} hold the truth ({len(held)} intervals)",
                "seen": share,
                "limit": f"{LOW} to {HIGH}" if claimed else "watched, no limit",
                "held": LOW <= share <= HIGH if claimed else True,
            }
        )
    return rows
