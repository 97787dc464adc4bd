"""The mirror image of a visit and of a recording: a player the other way round, everything else the same.

What is stored + open, or by lead and trail, stays; what is stored by left and right, or + right, changes.
"""

from dataclasses import replace

import numpy as np

from evenground.floor import Handed, other_side
from evenground.measure.recording import MatRecording
from evenground.simulate.mat import StanceTruth
from evenground.visit import AimCheck, BodyCheck, Limb, Visit

__all__ = ["mirrored_recording", "mirrored_stance", "mirrored_visit", "other_handed"]


def other_handed(handed: Handed) -> Handed:
    """The other way round to play."""
    return "left" if handed == "right" else "right"


def mirrored_recording(recording: MatRecording) -> MatRecording:
    """The recording of the mirror image: columns the other way, the mat's small turn the other way."""
    return replace(
        recording, cells=np.ascontiguousarray(recording.cells[:, :, ::-1]), turned_deg=-recording.turned_deg
    )


def mirrored_stance(truth: StanceTruth) -> StanceTruth:
    """The truth of the mirrored recording."""
    return replace(
        truth,
        load_left_percent=truth.load_right_percent,
        load_right_percent=truth.load_left_percent,
        toe_out_left_deg=truth.toe_out_right_deg,
        toe_out_right_deg=truth.toe_out_left_deg,
        cop_left_percent_length=truth.cop_right_percent_length,
        cop_right_percent_length=truth.cop_left_percent_length,
        cop_x_mm=-truth.cop_x_mm,
        handed=other_handed(truth.handed),
    )


def mirrored_visit(visit: Visit) -> Visit:
    """The visit of the mirror image; its recordings have to be mirrored beside it."""
    return replace(
        visit,
        player=replace(visit.player, handed=other_handed(visit.player.handed)),
        body=None if visit.body is None else _mirrored_body(visit.body),
        hands=tuple(sorted((replace(h, side=other_side(h.side)) for h in visit.hands), key=lambda h: h.side)),
        posture_views=tuple(replace(v, side=other_side(v.side)) for v in visit.posture_views),
        aim=None if visit.aim is None else _mirrored_aim(visit.aim),
    )


def _mirrored_body(body: BodyCheck) -> BodyCheck:
    sizes = tuple(s if s.side is None else replace(s, side=other_side(s.side)) for s in body.sizes)
    return replace(body, sizes=sizes, limbs={_LIMB[limb]: state for limb, state in body.limbs.items()})


def _mirrored_aim(aim: AimCheck) -> AimCheck:
    trials = tuple(replace(t, offset_mm=_over(t.offset_mm), dot_mm=_over(t.dot_mm)) for t in aim.trials)
    swings = tuple(replace(t, offset_mm=_over(t.offset_mm)) for t in aim.full_swing)
    return replace(aim, trials=trials, full_swing=swings)


def _over(right_mm: float | None) -> float | None:
    """A size that is + right, seen in the mirror; no size stays none, and 0 stays 0 without a sign."""
    return None if right_mm is None else 0.0 - right_mm


_LIMB: dict[Limb, Limb] = {
    "left arm": "right arm",
    "right arm": "left arm",
    "left hand": "right hand",
    "right hand": "left hand",
    "left leg": "right leg",
    "right leg": "left leg",
    "left foot": "right foot",
    "right foot": "left foot",
}
