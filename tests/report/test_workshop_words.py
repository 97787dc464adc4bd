"""Sentences about what came back from the workshop."""

import pytest

from evenground.fit.workshop import Judgement
from evenground.report.workshop_words import judged_sentence


@pytest.mark.parametrize(
    ("chance", "said"), [(0.0, "under 1 %"), (0.004, "under 1 %"), (0.62, "62 %"), (0.9996, "over 99 %")]
)
def test_no_chance_is_called_none_or_certain(chance: float, said: str) -> None:
    judged = Judgement(upper_off_mm=None, lower_off_mm=None, within=True, chance=chance, text="As ordered.")
    assert judged_sentence(judged) == f"As ordered. Chance that it truly is within: {said}."
