"""`studio.toml`: what an assessment needs from the studio besides the visit."""

from typing import Annotated, Literal

from pydantic import Field, Strict

from evenground.capture.fields import Count, Typed
from evenground.capture.instrument_file import InstrumentTable, instrument_from
from evenground.capture.library_file import CuesTable, RoutineTable, cues_from, routine_from
from evenground.visit import StudioErrors, StudioGripModel, StudioSettings, StudioSnapshot

__all__ = ["GripModelTable", "StudioFile", "studio_from"]

Sd = Annotated[float, Field(gt=0, lt=50)]
Between = Annotated[float, Field(ge=0, lt=50)]


class SettingsTable(Typed):
    """The ``[settings]`` table."""

    name: Annotated[str, Field(min_length=1, max_length=80)] = "this studio"
    units: Literal["metric", "inch quarters", "inch eighths"] = "metric"
    paper: Literal["a4", "us-letter"] = "a4"
    margin_deg: Annotated[float, Field(gt=0, le=10)] = 2.0
    order_families: Annotated[bool, Strict()] = True
    valid_weeks: Annotated[Count, Field(ge=1, le=52)] = 6
    putt_past_m: Annotated[float, Field(ge=0, le=2)] = 0.43
    instrument_days: Annotated[Count, Field(ge=1, le=365)] = 7
    cues: CuesTable | None = None


class ErrorsTable(Typed):
    """The ``[errors]`` table: SD of one reading, from this studio's own measurement study."""

    hip_line_deg: Sd | None = None
    posture_deg: Sd | None = None
    turn_deg: Sd | None = None
    ball_mm: Sd | None = None
    width_mm: Sd | None = None
    hip_line_between_observers_deg: Between | None = None
    posture_between_observers_deg: Between | None = None
    turn_between_observers_deg: Between | None = None
    ball_between_observers_mm: Between | None = None
    width_between_observers_mm: Between | None = None


class GripModelTable(Typed):
    """The ``[grip_model]`` table: this studio's own fit of wanted diameters (`evenground grip --fits`)."""

    at_reference_mm: Annotated[float, Field(gt=12, lt=60)]
    hand_slope: Annotated[float, Field(ge=-0.5, le=0.5)]
    finger_slope: Annotated[float, Field(ge=-0.5, le=0.5)]
    taper_mm: Annotated[float, Field(ge=-5, le=10)]
    se_mm: Annotated[float, Field(gt=0, le=10)]
    hands: Annotated[Count, Field(ge=1)]
    players: Annotated[Count, Field(ge=1)]


class StudioFile(Typed):
    """The whole of `studio.toml`."""

    format: Literal[1]
    settings: SettingsTable = SettingsTable()
    errors: ErrorsTable = ErrorsTable()
    stock: str | None = None
    mat_thickness_mm: Annotated[float, Field(ge=0, lt=100)] | None = None
    grip_model: GripModelTable | None = None
    instruments: tuple[InstrumentTable, ...] = ()
    routine: RoutineTable | None = None


def _settings(table: SettingsTable) -> StudioSettings:
    cues = None if table.cues is None else cues_from(table.cues)
    return StudioSettings(**{**dict(table), "cues": cues})


def studio_from(file: StudioFile) -> StudioSnapshot:
    """The snapshot that a checked `studio.toml` describes."""
    return StudioSnapshot(
        settings=_settings(file.settings),
        errors=StudioErrors(**dict(file.errors)),
        stock=file.stock,
        mat_thickness_mm=file.mat_thickness_mm,
        grip_model=None if file.grip_model is None else StudioGripModel(**dict(file.grip_model)),
        instruments=tuple(instrument_from(table) for table in file.instruments),
        routine=None if file.routine is None else routine_from(file.routine),
    )
