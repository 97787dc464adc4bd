"""The ``[body]`` table of `visit.toml`, alone also the body file of the command line."""

from typing import Annotated

from pydantic import AfterValidator, BeforeValidator, Field

from evenground.body.shoes import checked_shoe_size
from evenground.capture.fields import Typed, YesNo
from evenground.floor import Side
from evenground.visit import BodyCheck, BodySize, Limb, LimbState

__all__ = ["BodyTable", "Millimetres", "Readings", "ShoeSize", "SideTable"]

Millimetres = Annotated[float, Field(gt=5, lt=3000)]
Readings = Annotated[
    tuple[Millimetres, ...],
    BeforeValidator(lambda value: (value,) if isinstance(value, int | float) else value),
]
ShoeSize = Annotated[str, Field(max_length=40), AfterValidator(checked_shoe_size)]


class SideTable(Typed):
    """The ``[body.left]`` or ``[body.right]`` table: sizes that a body has on either side."""

    arm_length_mm: Readings = ()
    foot_length_mm: Readings = ()
    foot_breadth_mm: Readings = ()
    leg_length_mm: Readings = ()
    upper_arm_length_mm: Readings = ()
    forearm_length_mm: Readings = ()
    shoulder_elbow_length_mm: Readings = ()
    elbow_grip_length_mm: Readings = ()
    forward_reach_mm: Readings = ()
    wrist_circumference_mm: Readings = ()
    hand_breadth_mm: Readings = ()
    hand_circumference_mm: Readings = ()
    ball_of_foot_length_mm: Readings = ()
    heel_breadth_mm: Readings = ()


class BodyTable(Typed):
    """The ``[body]`` table: ISO 7250-1 sizes (one reading or a list of repeats), mass, limbs."""

    stature_mm: Readings = ()
    shoulder_height_mm: Readings = ()
    biacromial_breadth_mm: Readings = ()
    hip_breadth_mm: Readings = ()
    crotch_height_mm: Readings = ()
    wrist_height_mm: Readings = ()
    arm_length_mm: Readings = ()
    foot_length_mm: Readings = ()
    foot_breadth_mm: Readings = ()
    neck_height_mm: Readings = ()
    iliac_crest_height_mm: Readings = ()
    trochanter_height_mm: Readings = ()
    kneecap_height_mm: Readings = ()
    tibial_height_mm: Readings = ()
    ankle_height_mm: Readings = ()
    bideltoid_breadth_mm: Readings = ()
    chest_breadth_mm: Readings = ()
    chest_depth_mm: Readings = ()
    chest_circumference_mm: Readings = ()
    waist_circumference_mm: Readings = ()
    bicristal_breadth_mm: Readings = ()
    asis_breadth_mm: Readings = ()
    pelvic_depth_mm: Readings = ()
    leg_length_mm: Readings = ()
    span_mm: Readings = ()
    upper_arm_length_mm: Readings = ()
    forearm_length_mm: Readings = ()
    shoulder_elbow_length_mm: Readings = ()
    elbow_grip_length_mm: Readings = ()
    forward_reach_mm: Readings = ()
    wrist_circumference_mm: Readings = ()
    hand_breadth_mm: Readings = ()
    hand_circumference_mm: Readings = ()
    ball_of_foot_length_mm: Readings = ()
    heel_breadth_mm: Readings = ()
    mass_kg: Annotated[float, Field(gt=10, lt=350)] | None = None
    shoe_size: ShoeSize | None = None
    left: SideTable | None = None
    right: SideTable | None = None
    limbs: dict[Limb, LimbState] = Field(default_factory=dict)
    seated: YesNo = False

    def check(self) -> BodyCheck:
        """The body check in the shapes of `visit.py`."""
        return BodyCheck(
            sizes=(*_sizes(self), *_sizes(self.left, "left"), *_sizes(self.right, "right")),
            mass_kg=self.mass_kg,
            limbs=self.limbs,
            seated=self.seated,
            shoe_size=self.shoe_size,
        )


def _sizes(table: Typed | None, side: Side | None = None) -> tuple[BodySize, ...]:
    taken = {} if table is None else {n: getattr(table, n) for n in type(table).model_fields}
    return tuple(
        BodySize(name=name.removesuffix("_mm"), side=side, readings_mm=readings)
        for name, readings in taken.items()
        if name.endswith("_mm") and readings
    )
