"""A photo's balance beside the mat's: in a held pose they are one thing, and the mat is the referee."""

from dataclasses import dataclass

from evenground.estimate import Estimate, difference

__all__ = ["BalanceAgreement", "balance_agreement"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceAgreement:
    """A photo's centre of mass beside the mat's centre of pressure, in % of foot length from the heel."""

    photo_percent: Estimate
    mat_percent: Estimate
    apart_percent: Estimate
    agree: bool
    text: str


def balance_agreement(photo_percent: Estimate, mat_percent: Estimate) -> BalanceAgreement:
    """Whether a photo's centre of mass and the mat's centre of pressure can be the same thing.

    In a held pose the mean centre of pressure lies under the centre of mass, so the mat is the referee.

    Parameters
    ----------
    photo_percent, mat_percent
        Both in % of foot length from the heel, with their errors.
    """
    apart = difference(photo_percent, mat_percent)
    agree = abs(apart.value) <= apart.half_width()
    side = "nearer the toes" if apart.value > 0.0 else "nearer the heel"
    text = (
        f"The photo's balance and the mat's agree within their errors ({apart.value:+.0f} % of the foot)."
        if agree
        else f"The photo puts the balance {abs(apart.value):.0f} % of the foot {side} than the mat, more "
        "than both errors allow: trust the mat, and check the hip point and the plumb line."
    )
    return BalanceAgreement(
        photo_percent=photo_percent, mat_percent=mat_percent, apart_percent=apart, agree=agree, text=text
    )
