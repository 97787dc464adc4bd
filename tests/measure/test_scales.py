"""Two or four bathroom scales: load by the lever, the CoP where the places are typed, None elsewhere."""

from dataclasses import replace

import numpy as np
import pytest

from evenground.floor import Handed
from evenground.measure.scales import Scale, ScaleReadings, ScalesError, describe_scales
from tests.sure import sure

TWO = ScaleReadings(
    scales=(Scale(foot="left", part="whole", kg=(44.0,)), Scale(foot="right", part="whole", kg=(36.0,)))
)
FOUR = ScaleReadings(
    scales=(
        Scale(foot="left", part="heel", kg=(24.0,), x_mm=-160.0, y_mm=20.0),
        Scale(foot="left", part="forefoot", kg=(20.0,), x_mm=-170.0, y_mm=180.0),
        Scale(foot="right", part="heel", kg=(16.0,), x_mm=140.0, y_mm=0.0),
        Scale(foot="right", part="forefoot", kg=(20.0,), x_mm=150.0, y_mm=160.0),
    )
)


def test_two_scales_give_the_load_and_the_weight() -> None:
    ground = describe_scales(TWO, handed="right", mass_kg=80.0)
    assert sure(ground.feet.left.load_percent).value == pytest.approx(55.0)
    assert sure(ground.total_force_n).value == pytest.approx(80.0 * 9.80665)
    assert (ground.cop_mm.x, ground.sway, ground.feet.left.heel_load_percent) == (None, None, None)
    assert [flag.code for flag in ground.grade.flags] == ["no-feet-seen", "no-places"]


def test_the_loads_error_is_the_scales_error_by_the_lever() -> None:
    # share = l / (l + r): d/dl = r / sum^2, d/dr = -l / sum^2; each scale 0.7 kg and a 0.1 kg step
    one = np.hypot(0.7, 0.1 / 12**0.5)
    by_hand = 100.0 * one * np.hypot(36.0, 44.0) / 80.0**2
    assert sure(describe_scales(TWO, handed="right").feet.left.load_percent).se == pytest.approx(by_hand)


def test_repeated_readings_say_more() -> None:
    often = ScaleReadings(scales=tuple(replace(s, kg=s.kg * 4) for s in TWO.scales))
    once, four = (sure(describe_scales(r, handed="right").feet.left.load_percent).se for r in (TWO, often))
    assert four == pytest.approx(0.5 * once, rel=0.01)


def test_typed_places_give_width_and_sideways_centre() -> None:
    placed = (replace(TWO.scales[0], x_mm=-150.0), replace(TWO.scales[1], x_mm=150.0))
    ground = describe_scales(ScaleReadings(scales=placed), handed="right")
    assert sure(ground.stance_width_mm.heel_centres).value == pytest.approx(300.0)
    assert sure(ground.cop_mm.x).value == pytest.approx(-15.0)  # 5 % of load past the middle, of 300 mm
    assert ground.cop_mm.y is None


def test_four_scales_tell_heels_from_forefeet_and_the_lines() -> None:
    ground = describe_scales(FOUR, handed="right")
    assert sure(ground.feet.left.heel_load_percent).value == pytest.approx(100.0 * 24.0 / 44.0)
    assert sure(ground.feet.right.heel_load_percent).value == pytest.approx(100.0 * 16.0 / 36.0)
    # by hand: (20*24 + 180*20 + 0*16 + 160*20) / 80 = 91 mm ahead of a point 10 mm behind the heels' middle
    assert sure(ground.cop_mm.y).value == pytest.approx(91.0 - 10.0)
    assert sure(ground.fore_aft_offset_mm).value == pytest.approx(20.0)  # left leads, and is ahead
    heel_deg = np.rad2deg(np.arctan2(-20.0, 300.0))
    assert sure(ground.heel_line_deg).value == pytest.approx(heel_deg)  # lead ahead: closed
    left, right = 20.0 + 160.0 * 20.0 / 44.0, 160.0 * 20.0 / 36.0
    across = (140.0 + 10.0 * 20.0 / 36.0) - (-160.0 - 10.0 * 20.0 / 44.0)
    load_deg = np.rad2deg(np.arctan2(right - left, across))
    assert sure(ground.load_line_deg).value == pytest.approx(load_deg - heel_deg)


@pytest.mark.parametrize("name", ["fore_aft_offset_mm", "heel_line_deg", "load_line_deg"])
def test_the_other_hand_turns_every_sign_that_follows_it(name: str) -> None:
    hands: tuple[Handed, Handed] = ("right", "left")
    one, other = (sure(getattr(describe_scales(FOUR, handed=h), name)) for h in hands)
    assert one.value == pytest.approx(-other.value)
    assert one.se == pytest.approx(other.se)


def test_intervals_hold_the_truth_when_scales_err_as_said() -> None:
    rng = np.random.default_rng(20261125)
    held = {"load": 0, "cop": 0}
    for _ in range(160):
        read = tuple(
            replace(
                s,
                kg=(s.kg[0] + 0.7 * rng.standard_normal(),),
                x_mm=float(s.x_mm or 0.0) + 5.0 * rng.standard_normal(),
                y_mm=float(s.y_mm or 0.0) + 5.0 * rng.standard_normal(),
            )
            for s in FOUR.scales
        )
        ground = describe_scales(ScaleReadings(scales=read), handed="right")
        held["load"] += sure(ground.feet.left.load_percent).interval().holds(55.0)
        held["cop"] += sure(ground.cop_mm.y).interval().holds(81.0)
    # 95 % of 160, three SD either way, all but one at most
    assert all(143 <= count <= 159 for count in held.values()), held


def test_odd_scales_are_refused() -> None:
    with pytest.raises(ScalesError, match="left whole, left whole"):
        ScaleReadings(scales=(TWO.scales[0], TWO.scales[0]))
    with pytest.raises(ScalesError, match="no reading"):
        ScaleReadings(scales=(replace(TWO.scales[0], kg=()), TWO.scales[1]))
    empty = ScaleReadings(scales=tuple(replace(s, kg=(0.5,)) for s in TWO.scales))
    with pytest.raises(ScalesError, match=r"1\.0 kg altogether"):
        describe_scales(empty, handed="right")
