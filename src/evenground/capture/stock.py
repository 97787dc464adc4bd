"""The stock list and the club sheet: hand-typed TOML read into the shapes that the grip fit takes."""

import re
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import Field, Strict, model_validator

from evenground.capture.fields import Count, Typed, load_toml
from evenground.capture.toml_text import table
from evenground.stock import (
    LAYER_MASS_G,
    TAPE_MM,
    GripMaterial,
    GripSection,
    GripShape,
    MeasuredSection,
    Stock,
    StockGrip,
    Tape,
)
from evenground.visit import FAMILIES, Family, Glove, GripStyle, OwnClub

__all__ = ["ClubSheet", "StockList", "load_club", "load_stock", "with_tape"]

Mark = Annotated[str, Field(min_length=1, max_length=60)]


class _Tape(Typed):
    """The tape on the shelf."""

    double_sided_mm: float = Field(TAPE_MM.value, ge=0.02, le=1.0)
    build_up_mm: float = Field(TAPE_MM.value, ge=0.02, le=1.0)
    layer_g: float = Field(LAYER_MASS_G.value, ge=0.0, le=20.0)
    most_layers: Count = Field(8, ge=1, le=20)
    double_sided_se_mm: float | None = Field(None, gt=0.0, le=0.2)
    build_up_se_mm: float | None = Field(None, gt=0.0, le=0.2)
    width_mm: float | None = Field(None, gt=5.0, le=300.0)
    overlap_mm: float = Field(0.0, ge=0.0, le=50.0)


class _Section(Typed):
    """Outside and bore of a free grip at one station below the cap's edge."""

    station_mm: float = Field(ge=0.0, le=600.0)
    outside_mm: float = Field(gt=10.0, le=80.0)
    core_mm: float | None = Field(None, gt=5.0, le=40.0)


class _Measured(Typed):
    """Width and depth of a grip on a shaft at one station below the cap's edge."""

    station_mm: float = Field(ge=0.0, le=1000.0)
    width_mm: float = Field(gt=10.0, le=80.0)
    depth_mm: float = Field(gt=10.0, le=80.0)


class _Grip(Typed):
    """One grip on the shelf; `core_mm` is its bore wherever a section does not give its own."""

    mark: Mark
    length_mm: float = Field(ge=100.0, le=1000.0)
    mass_g: float = Field(gt=0.0, le=400.0)
    core_mm: float | None = Field(None, gt=5.0, le=40.0)
    installed_length_mm: float | None = Field(None, ge=100.0, le=700.0)
    shape: GripShape = "round"
    material: GripMaterial = "rubber"
    families: tuple[Family, ...] = Field(FAMILIES, min_length=1)
    cap_mm: float = Field(0.0, ge=0.0, le=40.0)
    sections: tuple[_Section, ...] = Field((), max_length=50)
    measured: tuple[_Measured, ...] = Field((), max_length=50)
    gap_from_mm: float | None = Field(None, ge=0.0, le=1000.0)
    gap_to_mm: float | None = Field(None, ge=0.0, le=1000.0)
    rib: Annotated[bool, Strict()] = False

    @model_validator(mode="after")
    def _one_kind_of_sections(self) -> Self:
        law = self.shape == "round" and self.material == "rubber" and self.gap_from_mm is None
        if law and len(self.sections) < 2:
            msg = f"the grip {self.mark} needs two sections or more, running down the free grip"
            raise ValueError(msg)
        if law and self.measured:
            msg = (
                f"the grip {self.mark} is one round grip of rubber: give its free sections, not measured ones"
            )
            raise ValueError(msg)
        if len(self.measured) == 1:
            msg = (
                f"the grip {self.mark} was measured at one place: measure its width and depth at two or more"
            )
            raise ValueError(msg)
        for said, places in (("sections", self.sections), ("measured places", self.measured)):
            stations = [p.station_mm for p in places]
            if stations != sorted(set(stations)):
                msg = f"the {said} of {self.mark} do not run down the grip, each station once"
                raise ValueError(msg)
        return self

    @model_validator(mode="after")
    def _gap_runs_down(self) -> Self:
        if (self.gap_from_mm is None) != (self.gap_to_mm is None):
            msg = f"the grip {self.mark} needs both gap_from_mm and gap_to_mm, or neither"
            raise ValueError(msg)
        if self.gap_from_mm is not None and not self.gap_from_mm < (self.gap_to_mm or 0.0) < self.length_mm:
            msg = (
                f"the gap between the two grips of {self.mark} does not lie within its {self.length_mm:g} mm"
            )
            raise ValueError(msg)
        return self

    @model_validator(mode="after")
    def _belongs_together(self) -> Self:
        for section in self.sections:
            core = section.core_mm if section.core_mm is not None else self.core_mm
            if core is None:
                msg = f"{self.mark} has no core_mm: give it for the grip or for every section"
                raise ValueError(msg)
            if core >= section.outside_mm:
                msg = f"{self.mark} at {section.station_mm:g} mm: a bore of {core:g} mm is not inside it"
                raise ValueError(msg)
        stretch = (self.installed_length_mm or self.length_mm) / self.length_mm
        if not 0.8 <= stretch <= 1.3:
            msg = f"{self.mark} cannot be pulled to {stretch:.2f} times its length"
            raise ValueError(msg)
        return self

    def to_grip(self) -> StockGrip:
        return StockGrip(
            mark=self.mark,
            length_mm=self.length_mm,
            mass_g=self.mass_g,
            sections=tuple(
                GripSection(
                    station_mm=s.station_mm,
                    outside_mm=s.outside_mm,
                    core_mm=s.core_mm if s.core_mm is not None else (self.core_mm or 0.0),
                )
                for s in self.sections
            ),
            shape=self.shape,
            material=self.material,
            installed_length_mm=self.installed_length_mm,
            families=self.families,
            cap_mm=self.cap_mm,
            measured=tuple(
                MeasuredSection(station_mm=m.station_mm, width_mm=m.width_mm, depth_mm=m.depth_mm)
                for m in self.measured
            ),
            gap_mm=None
            if self.gap_from_mm is None or self.gap_to_mm is None
            else (self.gap_from_mm, self.gap_to_mm),
            rib=self.rib,
        )


class StockList(Typed):
    """A whole stock file: `[tape]` and `[[grips]]`."""

    tape: _Tape = Field(default_factory=_Tape)
    grips: tuple[_Grip, ...] = Field(min_length=1, max_length=2000)

    @model_validator(mode="after")
    def _marks_once(self) -> Self:
        marks = [g.mark for g in self.grips]
        twice = next((m for m in marks if marks.count(m) > 1), None)
        if twice is not None:
            msg = f"two grips carry the mark {twice}; each needs its own"
            raise ValueError(msg)
        return self

    def to_stock(self) -> Stock:
        """Give the shared shape."""
        return Stock(
            tape=Tape(
                double_sided_mm=self.tape.double_sided_mm,
                build_up_mm=self.tape.build_up_mm,
                layer_mass_g=self.tape.layer_g,
                most_layers=self.tape.most_layers,
                double_sided_se_mm=self.tape.double_sided_se_mm,
                build_up_se_mm=self.tape.build_up_se_mm,
                width_mm=self.tape.width_mm,
                overlap_mm=self.tape.overlap_mm,
            ),
            grips=tuple(g.to_grip() for g in self.grips),
        )


class ClubSheet(Typed):
    """One club as it lies on the bench. Butts are the bare shaft where each hand sits."""

    mark: Mark
    family: Family
    butt_upper_mm: float | None = Field(None, ge=8.0, le=25.0)
    butt_lower_mm: float | None = Field(None, ge=8.0, le=25.0)
    upper_station_mm: float = Field(50.8, ge=0.0, le=600.0)
    lower_station_mm: float = Field(152.4, ge=0.0, le=900.0)
    length_mm: float | None = Field(None, ge=300.0, le=1600.0)
    length_method: Literal["60 deg plane", "along the shaft"] | None = None
    lie_deg: float | None = Field(None, ge=30.0, le=90.0)
    total_g: float | None = Field(None, gt=100.0, le=1500.0)
    balance_mm: float | None = Field(None, gt=100.0, le=1500.0)
    grip_g: float | None = Field(None, ge=0.0, le=400.0)
    grip_upper_mm: float | None = Field(None, gt=12.0, lt=60.0)
    grip_lower_mm: float | None = Field(None, gt=12.0, lt=60.0)
    grip_style: GripStyle = "usual"
    glove: Glove | None = None

    @model_validator(mode="after")
    def _hands_in_order(self) -> Self:
        if not self.upper_station_mm < self.lower_station_mm:
            msg = (
                f"the lower hand at {self.lower_station_mm:g} mm sits above the upper one at "
                f"{self.upper_station_mm:g} mm"
            )
            raise ValueError(msg)
        return self

    def to_club(self) -> OwnClub:
        """Give the shared shape; the present grip's mass `grip_g` stays here."""
        return OwnClub(
            mark=self.mark,
            family=self.family,
            length_mm=self.length_mm,
            length_method=self.length_method,
            lie_deg=self.lie_deg,
            butt_upper_mm=self.butt_upper_mm,
            butt_lower_mm=self.butt_lower_mm,
            upper_station_mm=self.upper_station_mm,
            lower_station_mm=self.lower_station_mm,
            grip_upper_mm=self.grip_upper_mm,
            grip_lower_mm=self.grip_lower_mm,
            total_mass_g=self.total_g,
            balance_mm=self.balance_mm,
            grip_style=self.grip_style,
            glove=self.glove,
        )


def with_tape(text: str, tape: Tape) -> str:
    """The text of a stock list with another tape; grips and comments below stay as they were typed."""
    lines = table("tape", _tape_keys(tape))[1:]
    found = re.search(r"^[ \t]*\[tape\][^\n]*\n(?:(?![ \t]*\[)[^\n]*\n?)*", text, re.MULTILINE)
    block = "\n".join(lines) + "\n\n"
    if found is None:
        return f"{block}{text.lstrip()}"
    return f"{text[: found.start()]}{block}{text[found.end() :]}"


def _tape_keys(tape: Tape) -> dict[str, float | int]:
    """The tape as its table says it, thicknesses to a hundredth of a micrometre, errors to a thousandth."""
    keys: dict[str, float | int | None] = {
        "double_sided_mm": round(tape.double_sided_mm, 5),
        "build_up_mm": round(tape.build_up_mm, 5),
        "layer_g": tape.layer_mass_g,
        "most_layers": tape.most_layers,
        "double_sided_se_mm": None if tape.double_sided_se_mm is None else round(tape.double_sided_se_mm, 6),
        "build_up_se_mm": None if tape.build_up_se_mm is None else round(tape.build_up_se_mm, 6),
        "width_mm": tape.width_mm,
        "overlap_mm": tape.overlap_mm,
    }
    return {name: value for name, value in keys.items() if value is not None}


def load_stock(path: Path) -> Stock:
    """Read a stock list; errors as in `load_toml`."""
    return load_toml(path, StockList).to_stock()


def load_club(path: Path) -> ClubSheet:
    """Read a club sheet; errors as in `load_toml`."""
    return load_toml(path, ClubSheet)
