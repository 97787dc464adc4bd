"""Two grips in pairs: signs, what is preferred and what is not, what is refused, how often noise wins."""

import pickle
from collections.abc import Sequence
from typing import Literal

import pytest
from bench.prove_grip_check import prove
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import nct
from scipy.stats import t as student

from evenground.fit.grip_check import (
    GripErrors,
    GripVerdict,
    MixedGloveError,
    NoPairsError,
    TwiceInAPairError,
    grip_verdict,
    grip_verdicts,
    paired_difference,
    pairs_to_tell,
    verdict_words,
)
from evenground.visit import GripTrial

STUDIED = GripErrors(hip_line_deg=1.0)
GRIPS: tuple[Literal["own", "proposed"], ...] = ("own", "proposed")


def trials(own: Sequence[float], proposed: Sequence[float], club: str = "7") -> list[GripTrial]:
    found = []
    for pair, (a, b) in enumerate(zip(own, proposed, strict=True), 1):
        found.append(GripTrial(pair=pair, club=club, grip="own", hip_line_deg=a))
        found.append(GripTrial(pair=pair, club=club, grip="proposed", hip_line_deg=b))
    return found


def verdict(own: Sequence[float], proposed: Sequence[float], errors: GripErrors = STUDIED) -> GripVerdict:
    return grip_verdict(trials(own, proposed), glove=True, errors=errors)


def test_the_difference_is_proposed_minus_own_over_complete_pairs() -> None:
    # Differences -4, -5, -6, -5: mean -5, SD sqrt(2/3); the studio's 1 deg makes the wider interval.
    unpaired = GripTrial(pair=9, club="7", grip="own", hip_line_deg=50.0)
    found = grip_verdict([*trials([6, 7, 6, 7], [2, 2, 0, 2]), unpaired], glove=True, errors=STUDIED)
    assert found.difference_deg.value == pytest.approx(-5.0)
    assert found.difference_deg.n == 4
    assert found.notes == ("Pair 9 lacks one of the two grips and is left out.",)


def test_the_error_is_the_wider_of_the_pairs_own_and_the_studios() -> None:
    own = paired_difference([1.0, 2.0, 3.0], 0.5)
    assert own.se == pytest.approx(3.0**-0.5)
    assert own.dof == 2
    studio = paired_difference([1.0, 2.0, 3.0], 10.0)
    assert studio.se == pytest.approx((2.0 / 3.0) ** 0.5 * 10.0)
    assert studio.half_width(0.99) >= own.half_width(0.99)


def test_the_grip_that_brings_the_hips_nearer_to_square_is_preferred() -> None:
    found = verdict([6, 7, 6, 7, 6.5], [1, 2, 1.5, 1, 2])
    assert (found.word, found.prefer, found.more_pairs) == ("prefer", "proposed", None)
    assert verdict_words(found) == "prefer the proposed grip"
    assert "nearer to square with the proposed grip" in found.why


def test_closed_hips_prefer_the_grip_that_opens_them() -> None:
    found = verdict([-6, -7, -6, -7, -6.5], [-1, -2, -1.5, -1, -2])
    assert (found.word, found.prefer) == ("prefer", "proposed")
    assert found.difference_deg.value > 0.0


@settings(max_examples=40)
@given(st.lists(st.tuples(st.floats(-12, 12), st.floats(-12, 12)), min_size=3, max_size=8))
def test_swapping_the_grips_swaps_the_preference_and_nothing_else(pairs: list[tuple[float, float]]) -> None:
    own, proposed = [a for a, _ in pairs], [b for _, b in pairs]
    one, other = verdict(own, proposed), verdict(proposed, own)
    assert one.word == other.word
    assert {one.prefer, other.prefer} in ({None}, {"own", "proposed"})
    assert one.difference_deg.value == pytest.approx(-other.difference_deg.value, abs=1e-9)
    assert one.more_pairs == other.more_pairs


@settings(max_examples=40)
@given(st.lists(st.tuples(st.floats(-12, 12), st.floats(-12, 12)), min_size=3, max_size=8))
def test_a_mirrored_player_gets_the_same_verdict(pairs: list[tuple[float, float]]) -> None:
    one = verdict([a for a, _ in pairs], [b for _, b in pairs])
    other = verdict([-a for a, _ in pairs], [-b for _, b in pairs])
    assert (one.word, one.prefer, one.more_pairs) == (other.word, other.prefer, other.more_pairs)


def test_grips_equally_far_to_either_side_are_no_real_difference_in_squareness() -> None:
    found = verdict([4.0, 4.5, 3.5, 4.0, 4.0, 4.0], [-4.0, -3.5, -4.5, -4.0, -4.0, -4.0])
    assert found.word == "no real difference"
    assert "opposite sides" in found.why


def test_few_pairs_in_a_noisy_studio_keep_testing_and_say_how_much_more() -> None:
    found = verdict([4, 6, 2], [3, 1, 4], GripErrors(hip_line_deg=3.0))
    assert found.word == "keep testing"
    # 3 deg a reading, 4.24 a difference: ((2.576 + 0.842) x 4.24 / 2)^2 = 52.6 pairs for the difference, a
    # few more because the wider error is the pairs' own, with few degrees of freedom.
    assert found.more_pairs is not None
    assert 50 <= found.more_pairs <= 54
    assert verdict_words(found) == f"keep testing ({found.more_pairs} more pairs)"


def test_two_pairs_get_no_word_and_one_is_refused() -> None:
    assert verdict([8, 8], [0, 0]).word == "keep testing"
    with pytest.raises(NoPairsError, match=r"grip check, 7: 1 complete pair .*Give each pair one number"):
        verdict([8], [0])
    with pytest.raises(NoPairsError, match="0 complete pairs"):
        grip_verdict([], glove=True)


def test_pairs_that_all_agree_still_carry_the_error_of_reading() -> None:
    found = verdict([3, 3, 3], [1.5, 1.5, 1.5], GripErrors())
    assert found.difference_deg.se == pytest.approx(0.5 * (2.0 / 3.0) ** 0.5)
    assert "not studied" in found.notes[-1]


def test_a_mixed_glove_is_refused_in_a_sentence() -> None:
    mixed = [GripTrial(pair=9, club="7", grip="own", hip_line_deg=1.0, glove=False)]
    with pytest.raises(
        MixedGloveError, match=r"The glove was on in 6 trials and off in 1\..*take the others"
    ):
        grip_verdict([*trials([1, 2, 3], [1, 2, 3]), *mixed], glove=True)
    assert grip_verdict(trials([1, 2, 3], [1, 2, 3]), glove=False).glove is False


def test_a_grip_twice_in_a_pair_is_refused() -> None:
    twice = GripTrial(pair=2, club="7", grip="own", hip_line_deg=1.0)
    with pytest.raises(TwiceInAPairError, match="pair 2: The own grip stands twice"):
        grip_verdict([*trials([1, 2, 3], [1, 2, 3]), twice], glove=True)


def test_a_slip_of_ten_times_is_named_and_counted() -> None:
    found = verdict([4, 45, 4.5, 5], [3, 3.5, 3, 3])
    assert found.notes == (
        (
            "Pair 2, own grip, reads 45 deg, ten times the others (about 4.5): "
            "check it; it is counted as it stands."
        ),
    )
    assert found.own_deg.value == pytest.approx(58.5 / 4)


def test_each_club_and_hand_is_compared_by_itself() -> None:
    driver = [*trials([6, 7, 6, 7, 6], [1, 1, 1, 2, 1], "driver"), *trials([1, 2], [2, 2], "7")]
    alone = [GripTrial(pair=1, club="7", grip=g, hip_line_deg=1.0, hand="lead") for g in ("own", "proposed")]
    found, unusable = grip_verdicts([*driver, *alone], glove=True, errors=STUDIED)
    assert [(v.club, v.hand, v.word) for v in found] == [
        ("driver", "both", "prefer"),
        ("7", "both", "keep testing"),
    ]
    assert unusable[0].startswith("grip check, 7: 1 complete pair")
    with pytest.raises(NoPairsError):
        grip_verdicts(alone, glove=True)


def test_knees_are_told_beside_the_verdict() -> None:
    bends = [(22.0, 20.0), (23.0, 20.5), (22.0, 20.0), (23.5, 21.0)]
    found = grip_verdict(
        [
            GripTrial(pair=i, club="7", grip=grip, hip_line_deg=1.0, knee_flex_lead_deg=bend[k])
            for i, bend in enumerate(bends, 1)
            for k, grip in enumerate(GRIPS)
        ],
        glove=True,
    )
    assert [(k.side, k.seen) for k in found.knees] == [("lead", True)]
    assert found.knees[0].difference_deg.value == pytest.approx(-2.25)


def test_the_pairs_asked_for_have_the_power_promised() -> None:
    # Power of the t test by scipy's noncentral t; the formula is a usual approximation to it.
    n = pairs_to_tell(2.0, 2.0, known=False)
    reach = student.ppf(0.995, n - 1)
    power = nct.sf(reach, n - 1, n**0.5)
    assert 0.78 <= power <= 0.88
    fewer = nct.sf(student.ppf(0.995, n - 3), n - 3, (n - 2) ** 0.5)
    assert fewer < 0.8


@pytest.mark.parametrize(
    "error", [NoPairsError("7", 1), MixedGloveError("7", 3, 1), TwiceInAPairError("7", 2, "own")]
)
def test_errors_survive_the_way_back_from_a_worker(error: Exception) -> None:
    assert str(pickle.loads(pickle.dumps(error))) == str(error)  # noqa: S301 - our own bytes


def test_what_is_proved_at_full_count_holds_at_less() -> None:
    # A tenth would take a good five seconds; the bands are those of thirty.
    rows = prove(30, 20261125)
    assert len(rows) == 7
    assert [row["claim"] for row in rows if not row["held"]] == []
