"""A player's whole visit, every reading drawn around a truth that stands beside it.

Each check draws from its own stream, so that a longer hip-line series does not change the feet. A visit of a
left-handed player is the mirror image of the right-handed one with the same seed, exactly.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from evenground.fit.stance_types import StanceOptions
from evenground.floor import Handed, other_side
from evenground.simulate import player_entries as entries
from evenground.simulate.hipline import HipLinePlayer
from evenground.simulate.mirror import mirrored_recording, mirrored_stance, mirrored_visit
from evenground.simulate.player_ground import Stood, ground_truth, stand
from evenground.simulate.player_scenario import (
    CurveTruth,
    FootTruth,
    OwnStance,
    PlayerTruth,
    Scenario,
    SimulatedVisit,
)
from evenground.simulate.player_series import Series, hip_line_players, hip_line_series
from evenground.simulate.shelf import SHELF_TOML
from evenground.simulate.survey import Reference, draw_body
from evenground.visit import (
    AsArrived,
    BodyCheck,
    Check,
    Family,
    HipLineCheck,
    Player,
    Shoes,
    StudioErrors,
    StudioSettings,
    StudioSnapshot,
    Visit,
)

__all__ = ["simulate_player"]

SHOE_LONGER_MM = 30.0
_FIELDS: Mapping[Check, str] = {
    "safety": "screening",
    "as arrived": "as_arrived",
    "body": "body",
    "hands": "hands",
    "own clubs": "own_clubs",
    "ball": "ball",
    "ground": "ground",
    "hip line": "hip_line",
    "posture": "posture",
    "turn": "turn",
    "grip": "grip",
    "aim": "aim",
}


def simulate_player(
    seed: int, *, handed: Handed = "right", scenario: Scenario | None = None
) -> SimulatedVisit:
    """One player's visit with the truth beside it.

    Parameters
    ----------
    seed
        Gives the player and every reading; the same seed gives the same visit.
    handed
        Right is drawn; left is its mirror image.
    scenario
        How the visit is played out.
    """
    made = _right_handed(seed, scenario or Scenario())
    return made if handed == "right" else _mirrored(made)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Streams:
    """One source of chance a part of the visit."""

    person: np.random.Generator
    tape: np.random.Generator
    habits: np.random.Generator
    bar: np.random.Generator
    feet: np.random.Generator
    angles: np.random.Generator
    grips: np.random.Generator
    aim: np.random.Generator

    @classmethod
    def of(cls, seed: int) -> "_Streams":
        """Streams that do not depend on how much the others draw."""
        names = [f.name for f in fields(cls)]
        spawned = np.random.SeedSequence(seed).spawn(len(names))
        return cls(**{name: np.random.default_rng(s) for name, s in zip(names, spawned, strict=True)})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Stance:
    """Where one thing leads to the next: habits, hip line, fitted width, feet, ball."""

    own: Mapping[Family, OwnStance]
    as_arrived: tuple[AsArrived, ...]
    players: Mapping[Family, HipLinePlayer]
    series: Series
    chosen_mm: Mapping[Family, float]
    ground: Mapping[str, FootTruth]
    shoe_mm: float
    stood: tuple[Stood, ...]
    ball_inside_mm: Mapping[Family, float]
    ball_ahead_mm: Mapping[Family, float]


def _right_handed(seed: int, scenario: Scenario) -> SimulatedVisit:
    rng = _Streams.of(seed)
    drawn: Reference = "women" if rng.person.random() < 0.5 else "men"
    reference = scenario.reference or drawn
    body = draw_body(rng.person, reference)
    hands = entries.hand_truth(rng.person, body)
    typed = entries.body_check(rng.tape, body)
    stance = _stance(rng, scenario, body, typed)
    truth = PlayerTruth(
        seed=seed,
        handed="right",
        reference=reference,
        body=body,
        hands={"left": hands[0], "right": hands[1]},
        own_stance=stance.own,
        curves={f: _curve(p) for f, p in stance.players.items()},
        chosen_width_mm=stance.chosen_mm,
        drift_deg=stance.players["irons"].drift_deg,
        noise_deg=scenario.noise_deg,
        ground=stance.ground,
        placements={s.placement.recording: s.truth for s in stance.stood},
        ball_inside_lead_heel_mm=stance.ball_inside_mm,
        ball_from_toe_line_mm=stance.ball_ahead_mm,
        posture=entries.posture_truth(rng.angles),
        turn=entries.turn_truth(rng.angles),
        grip_effect_deg=float(rng.grips.normal(0.0, 1.0)),
        aim=entries.aim_truth(rng.aim),
    )
    made = SimulatedVisit(
        visit=_visit(rng, scenario, truth, typed, stance),
        studio=_studio(scenario),
        recordings={s.placement.recording: s.recording for s in stance.stood},
        stock_toml=SHELF_TOML,
        truth=truth,
    )
    return _leave_out(made, scenario)


def _stance(rng: _Streams, scenario: Scenario, body: Mapping[str, float], typed: BodyCheck) -> _Stance:
    own = entries.own_stance(rng.habits, body["stature_mm"])
    as_arrived = entries.as_arrived_entries(rng.habits, own)
    players = _players(rng.bar, scenario, typed, as_arrived)
    series = _series(rng.bar, scenario, players)
    chosen = {f: a.best_width_mm for f, a in series.fit.families.items()}
    ground = ground_truth(rng.feet, own["irons"], chosen["irons"])
    shoe_mm, foot_mm = float(round(body["foot_length_mm"] + SHOE_LONGER_MM)), body["foot_length_mm"]
    stood = stand(rng.feet, ground, scenario, shoe_mm=shoe_mm, foot_mm=foot_mm, mass_kg=body["mass_kg"])
    inside, ahead = entries.ball_truth(rng.habits, chosen)
    return _Stance(
        own=own,
        as_arrived=as_arrived,
        players=players,
        series=series,
        chosen_mm=chosen,
        ground=ground,
        shoe_mm=shoe_mm,
        stood=stood,
        ball_inside_mm=inside,
        ball_ahead_mm=ahead,
    )


def _visit(rng: _Streams, scenario: Scenario, truth: PlayerTruth, typed: BodyCheck, stance: _Stance) -> Visit:
    irons_deg = stance.players["irons"].truth_deg(stance.chosen_mm["irons"])
    return Visit(
        visit=scenario.visit,
        day=scenario.day,
        player=Player(
            name=scenario.name,
            handed="right",
            birth_year=scenario.day.year - int(rng.person.integers(22, 68)),
            reference=truth.reference,
        ),
        screening=scenario.screening,
        teacher=scenario.teacher,
        shoes=Shoes(
            name="own golf shoes",
            length_mm=stance.shoe_mm,
            heel_breadth_mm=_heel_breadth_mm(stance.shoe_mm),
        ),
        as_arrived=stance.as_arrived,
        body=typed,
        hands=entries.hand_entries(rng.tape, truth.hands["left"], truth.hands["right"]),
        own_clubs=entries.own_clubs(rng.tape, truth.body["stature_mm"]),
        ball=entries.ball_entries(rng.tape, truth.ball_inside_lead_heel_mm, truth.ball_from_toe_line_mm),
        ground=tuple(s.placement for s in stance.stood),
        hip_line=HipLineCheck(
            landmark="bar behind the hip bones", trials=stance.series.trials, bar_error_deg=0.5
        ),
        posture=entries.posture_entries(rng.angles, truth.posture),
        turn=entries.turn_entries(rng.angles, truth.turn),
        grip=entries.grip_check(
            rng.grips,
            hanging_deg=irons_deg,
            effect_deg=truth.grip_effect_deg,
            noise_deg=scenario.noise_deg,
        ),
        aim=entries.aim_check(rng.aim, truth.aim),
        skipped=dict(scenario.skipped),
    )


def _heel_breadth_mm(shoe_mm: float) -> float:
    """Outsole at the heel, to the millimetre, as broad as the print that `simulate.foot` gives a shoe."""
    return float(round(0.23 * shoe_mm))


def _players(
    rng: np.random.Generator, scenario: Scenario, body: BodyCheck, as_arrived: tuple[AsArrived, ...]
) -> dict[Family, HipLinePlayer]:
    stature_mm = next(s.readings_mm[0] for s in body.sizes if s.name == "stature")
    return hip_line_players(
        rng,
        stature_mm=stature_mm,
        as_arrived_mm={a.family: a.width_mm for a in as_arrived},
        shape=scenario.curve,
        noise_deg=scenario.noise_deg,
        drift_sd_deg=scenario.drift_sd_deg,
    )


def _series(rng: np.random.Generator, scenario: Scenario, players: Mapping[Family, HipLinePlayer]) -> Series:
    studio = _studio(scenario)
    options = StanceOptions(
        margin_deg=studio.settings.margin_deg,
        noise_deg=studio.errors.hip_line_deg,
        keep_order=studio.settings.order_families,
        budget_before=scenario.budget,
    )
    return hip_line_series(
        players,
        options=options,
        turned_deg=scenario.stance_turned_deg,
        confirm=scenario.confirm,
        rng=rng,
    )


def _studio(scenario: Scenario) -> StudioSnapshot:
    return StudioSnapshot(
        settings=StudioSettings(name=scenario.studio),
        errors=StudioErrors(hip_line_deg=1.3, posture_deg=2.0, turn_deg=2.5, ball_mm=4.0, width_mm=4.0),
        stock="stock.toml",
        mat_thickness_mm=2.5,
    )


def _curve(player: HipLinePlayer) -> CurveTruth:
    return CurveTruth(
        shape=player.shape,
        width_mm=tuple(float(w) for w in player.grid_mm),
        hip_line_deg=tuple(float(a) for a in player.curve_deg),
    )


def _leave_out(made: SimulatedVisit, scenario: Scenario) -> SimulatedVisit:
    """Without the checks that were skipped, or without one family's part of them."""
    alone = {"screening", "body", "hip_line", "grip", "aim"}
    gone: dict[str, Any] = {}
    for check in scenario.skipped:
        name, family = _FIELDS[check], scenario.skipped_family.get(check)
        kept = () if family is None else [e for e in getattr(made.visit, name) if e.family != family]
        gone[name] = None if name in alone else tuple(kept)
    visit = replace(made.visit, **gone)
    named = {p.recording for p in visit.ground}
    return replace(made, visit=visit, recordings={n: r for n, r in made.recordings.items() if n in named})


def _mirrored(made: SimulatedVisit) -> SimulatedVisit:
    truth = made.truth
    return replace(
        made,
        visit=mirrored_visit(made.visit),
        recordings={n: mirrored_recording(r) for n, r in made.recordings.items()},
        truth=replace(
            truth,
            handed="left",
            hands={other_side(side): hand for side, hand in truth.hands.items()},
            ground={kind: _mirrored_feet(foot) for kind, foot in truth.ground.items()},
            placements={n: mirrored_stance(t) for n, t in truth.placements.items()},
        ),
    )


def _mirrored_feet(truth: FootTruth) -> FootTruth:
    return replace(
        truth,
        toe_out_left_deg=truth.toe_out_right_deg,
        toe_out_right_deg=truth.toe_out_left_deg,
        load_left_percent=100.0 - truth.load_left_percent,
    )
