"""The ``[[own_clubs]]`` entries of `visit.toml`."""

from typing import Annotated, Literal

from pydantic import Field

from evenground.capture.fields import Short, Typed
from evenground.visit import Family, Glove, GripStyle

__all__ = ["OwnClubTable"]


class OwnClubTable(Typed):
    """One ``[[own_clubs]]`` entry; leave the butt out when it was not measured."""

    mark: Short
    family: Family
    length_mm: Annotated[float, Field(gt=400, lt=1600)] | None = None
    length_method: Short | None = None
    lie_deg: Annotated[float, Field(gt=40, lt=90)] | None = None
    butt_upper_mm: Annotated[float, Field(gt=8, lt=30)] | None = None
    butt_lower_mm: Annotated[float, Field(gt=8, lt=30)] | None = None
    grip_upper_mm: Annotated[float, Field(gt=12, lt=60)] | None = None
    grip_lower_mm: Annotated[float, Field(gt=12, lt=60)] | None = None
    upper_station_mm: Annotated[float, Field(gt=10, lt=600)] = 50.8
    lower_station_mm: Annotated[float, Field(gt=10, lt=900)] = 152.4
    total_mass_g: Annotated[float, Field(gt=150, lt=1200)] | None = None
    balance_mm: Annotated[float, Field(gt=100, lt=1300)] | None = None
    grip_mass_g: Annotated[float, Field(gt=10, lt=300)] | None = None
    grip_style: GripStyle = "usual"
    glove: Glove | None = None
    grip: Short | None = None
    grip_shape: Literal["round", "not round"] | None = None
    grip_length_mm: Annotated[float, Field(gt=50, lt=1000)] | None = None
    grip_widest_mm: Annotated[float, Field(gt=12, lt=80)] | None = None
    lean_deg: Annotated[float, Field(gt=-45, lt=45)] | None = None
    cap_height_mm: Annotated[float, Field(gt=300, lt=1600)] | None = None
    ball_inside_lead_heel_mm: Annotated[float, Field(gt=-300, lt=700)] | None = None
    ball_from_toe_line_mm: Annotated[float, Field(gt=-100, lt=1500)] | None = None
    counterweight_g: Annotated[float, Field(gt=0, lt=300)] | None = None
    counterweight_at_mm: Annotated[float, Field(ge=0, lt=1300)] | None = None
