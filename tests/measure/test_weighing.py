"""A tare offset, a wrong unit, a wrong gain and a wrong mass planted, and told apart."""

from dataclasses import replace

import pytest

from evenground.estimate import Estimate
from evenground.measure.load_split import NothingLoadedError, share_without_offset
from evenground.measure.weighing import NoWeighingError, Weighing, explain_weights, unit_factor

G = 9.80665
MASSES = {"Ada": 48.0, "Bo": 62.0, "Cy": 75.0, "Di": 91.0, "Ed": 108.0}
SLIPS = {"Ada": 0.2, "Bo": -0.4, "Cy": 0.5, "Di": -0.1, "Ed": 0.3}  # kg, breakfast and clothes


def people(thing: str = "the mat", add_n: float = 0.0, times: float = 1.0) -> list[Weighing]:
    return [
        Weighing(force_n=times * (kg + SLIPS[who]) * G + add_n, mass_kg=kg, person=who, stood_on=thing)
        for who, kg in MASSES.items()
    ]


def causes(weighings: list[Weighing]) -> list[tuple[str, str]]:
    return [(m.cause, m.who) for m in explain_weights(weighings)]


def test_what_agrees_has_nothing_to_explain() -> None:
    assert causes(people()) == []
    assert causes(people()[:1]) == []
    with pytest.raises(NoWeighingError):
        explain_weights([])


def test_the_same_newtons_on_everybody_are_a_tare_offset() -> None:
    (found,) = explain_weights(people(add_n=40.0))
    assert found.cause == "tare offset"
    assert found.offset_n is not None
    assert found.offset_n.interval().holds(40.0)


def test_the_same_percent_on_everybody_is_a_wrong_gain() -> None:
    (found,) = explain_weights(people(times=1.08))
    assert found.cause == "wrong gain"
    assert found.factor == pytest.approx(1.08, abs=0.01)


def test_one_person_alone_has_a_wrong_mass() -> None:
    wrong = [replace(w, mass_kg=w.mass_kg * 1.1) if w.person == "Cy" else w for w in people(add_n=40.0)]
    found = explain_weights(wrong)
    assert [(m.cause, m.who) for m in found] == [("tare offset", "the mat"), ("wrong mass", "Cy")]
    assert found[1].mass_kg is not None
    assert found[1].mass_kg.value == pytest.approx(75.5, abs=0.5)  # the slip of 0.5 kg included


@pytest.mark.parametrize(
    ("factor", "words"),
    [(1.0 / G, "kilograms were taken"), (0.1, "square centimetre"), (1000.0, "pascals")],
)
def test_a_wrong_unit_of_the_force_is_the_instruments(factor: float, words: str) -> None:
    told = unit_factor(factor * 700.0, 700.0)
    assert told is not None
    assert words in told[1]
    assert causes(people(times=factor)) == [("wrong unit", "the mat")]


def test_a_mass_in_pounds_is_the_persons() -> None:
    typed = [replace(w, mass_kg=w.mass_kg / 0.45359237) if w.person == "Bo" else w for w in people()]
    assert causes(typed) == [("wrong unit", "Bo")]


def test_an_offset_of_one_thing_stood_on_shows_within_one_person() -> None:
    one = [w for w in people() if w.person == "Cy"]
    both = [*one, *(w for w in people("foam", add_n=15.0) if w.person == "Cy")]
    (found,) = explain_weights(both)
    assert (found.cause, found.who) == ("tare offset", "foam")
    assert found.offset_n is not None
    assert found.offset_n.value == pytest.approx(15.0)


def test_what_is_read_with_nobody_there_is_taken_off() -> None:
    (found,) = explain_weights([replace(w, empty_n=40.0) for w in people(add_n=40.0)])
    assert (found.cause, found.who) == ("tare offset", "the mat")


def test_one_person_on_one_thing_cannot_tell_unless_a_known_weight_read_right() -> None:
    one = replace(people(add_n=60.0)[2], person="the player")
    (open_,) = explain_weights([one])
    assert open_.cause == "cannot tell"
    assert "Lay a known weight" in open_.text
    (told,) = explain_weights([replace(one, checked=True)])
    assert told.cause == "wrong mass"
    assert told.mass_kg is not None
    assert told.mass_kg.value == pytest.approx(75.5 + 60.0 / G, abs=0.01)


def test_shoes_are_worn_and_are_no_offset() -> None:
    shod = [replace(w, worn_kg=0.8, stood_on="the mat, shod") for w in people(add_n=0.8 * G)]
    assert causes([*people(), *shod]) == []


def newtons(value: float, se: float = 0.0) -> Estimate:
    return Estimate(value=value, se=se, unit="N")


def test_an_offset_left_in_pulls_the_share_to_fifty_by_its_formula() -> None:
    # p = 0.6 of 700 N with 35 N spread evenly: the naive share is (420 + 17.5) / 735
    naive = 100.0 * 437.5 / 735.0
    assert 60.0 - naive == pytest.approx(100.0 * 35.0 * 0.1 / 735.0)
    assert share_without_offset(newtons(437.5), newtons(297.5), newtons(35.0)).value == pytest.approx(60.0)


def test_the_error_holds_that_the_offset_may_lie_unevenly() -> None:
    share = share_without_offset(newtons(437.5), newtons(297.5), newtons(35.0))
    assert share.se == pytest.approx(100.0 * 35.0 * 0.1 / 700.0)
    wider = share_without_offset(newtons(437.5, 4.0), newtons(297.5), newtons(35.0, 7.0))
    assert wider.se > share.se
    with pytest.raises(NothingLoadedError):
        share_without_offset(newtons(10.0), newtons(10.0), newtons(30.0))


def test_mirrored_feet_have_the_mirrored_share() -> None:
    one = share_without_offset(newtons(430.0), newtons(300.0), newtons(30.0))
    other = share_without_offset(newtons(300.0), newtons(430.0), newtons(30.0))
    assert one.value + other.value == pytest.approx(100.0)
    assert one.se == pytest.approx(other.se)
