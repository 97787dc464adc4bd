"""`instrument.toml`: what goes in comes back, and what is wrong is said in one sentence."""

import re
from dataclasses import fields
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from evenground.capture.bundle_writer import studio_toml
from evenground.capture.fields import UnreadableFieldError, read_toml
from evenground.capture.instrument_file import (
    InstrumentFile,
    NotRereadError,
    WhichInstrumentError,
    instrument_from,
    instrument_toml,
    load_instruments,
    only_of_kind,
    with_checks,
    write_instruments,
)
from evenground.capture.studio_file import StudioFile, studio_from
from evenground.instruments import (
    DeadWeight,
    EmptyMat,
    Figures,
    FlippedBar,
    Instrument,
    InstrumentCheck,
    KnownWeight,
    PrintedLength,
    Step,
)
from evenground.visit import StudioSettings, StudioSnapshot

AT = datetime(2026, 5, 9, 8, 31, tzinfo=timezone(timedelta(hours=2)))
ALL: tuple[tuple[Step, Figures | None], ...] = (
    (
        "empty mat",
        EmptyMat(
            rows=48, columns=64, unit="counts", duration_s=15.0, noise=0.31, offset=0.1 / 3.0,
            drift_per_min=-0.2, shows_noise=True, dead=((12, 22),), stuck=((0, 0), (47, 63)),
            bad_columns=(3,),
        ),
    ),
    (
        "dead weight",
        DeadWeight(
            mass_kg=20.0, duration_s=30.0, rate_hz=25.0, path_mm=51.4, velocity_mm_s=1.71, ellipse95_mm2=1e-7,
            crept_mm=0.0, crept_percent=-0.4,
        ),
    ),
    (
        "known weight",
        KnownWeight(x_mm=(1.5, 2.5), y_mm=(3.0, 4.0), mass_kg=(20.0, 10.0), gain=(0.98, 1.1),
                    gain_se=(0.0, 1e-3), counts_per_n=80.2, silent=((4, 4),)),
    ),
    ("flipped bar", FlippedBar(normal_deg=(3.1, -3.2), flipped_deg=(0.6,))),
    ("printed length", PrintedLength(measured_mm=(99.6,), nominal_mm=100.0)),
    ("by hand", None),
)  # fmt: skip
MAT = Instrument(
    name='mat "at the window"\\n',
    kind="mat",
    checks=tuple(
        InstrumentCheck(step=s, at=AT, passed=i % 2 == 0, why="" if i % 2 == 0 else "a, b", figures=f)
        for i, (s, f) in enumerate(ALL)
    ),
)


def test_every_step_comes_back_as_it_went_in(tmp_path: Path) -> None:
    path = tmp_path / "instrument.toml"
    both = (MAT, Instrument(name="bar", kind="bar"))
    write_instruments(path, both)
    assert load_instruments(path) == both
    assert [p.name for p in tmp_path.iterdir()] == ["instrument.toml"]


def test_a_studio_keeps_its_instruments_and_its_limit() -> None:
    studio = StudioSnapshot(settings=StudioSettings(instrument_days=30), instruments=(MAT,))
    again = studio_from(read_toml(studio_toml(studio).encode(), StudioFile, file="studio.toml"))
    assert again == studio
    assert studio_from(read_toml(b"format = 1\n", StudioFile, file="studio.toml")).instruments == ()


def test_the_sample_on_the_formats_page_loads() -> None:
    page = (Path(__file__).parents[2] / "docs/formats/instrument.md").read_text("utf-8")
    (sample,) = re.findall(r"```toml\n(.*?)```", page, re.DOTALL)
    found = read_toml(sample.encode(), InstrumentFile, file="instrument.toml")
    assert [instrument_from(t).kind for t in found.instruments] == ["mat", "bar"]
    for figures in (EmptyMat, DeadWeight, KnownWeight, FlippedBar, PrintedLength):
        assert all(f"`{f.name}`" in page for f in fields(figures)), figures


def test_a_check_is_appended_to_its_own_instrument_only() -> None:
    one = InstrumentCheck(step="by hand", at=AT, passed=True)
    grown = with_checks((MAT, Instrument(name="bar", kind="bar")), "bar", "bar", (one,))
    assert grown[0] == MAT
    assert grown[1].checks == (one,)
    assert with_checks((), "new", "mat", (one,)) == (Instrument(name="new", kind="mat", checks=(one,)),)


@pytest.mark.parametrize(
    ("change", "where"),
    [
        (('step = "by hand"', 'step = "dead weight"'), "instruments 1, checks 6"),
        (("gain = [0.98, 1.1]", "gain = [0.98]"), "known_weight"),
        (("+02:00", ""), "at"),
        (("rows = 48", "rows = 0"), "rows"),
        (('kind = "mat"', 'kind = "mat"\ncolour = "red"'), "colour"),
        (("noise = 0.31", "noise = nan"), "noise"),
    ],
)
def test_what_does_not_fit_is_refused_with_its_place(change: tuple[str, str], where: str) -> None:
    text = instrument_toml((MAT,))
    assert change[0] in text
    with pytest.raises(UnreadableFieldError) as caught:
        read_toml(text.replace(*change).encode(), InstrumentFile, file="instrument.toml")
    assert where in str(caught.value)
    assert str(caught.value).count("\n") == 0


def test_a_name_that_the_file_has_no_place_for_is_not_written(tmp_path: Path) -> None:
    path = tmp_path / "instrument.toml"
    with pytest.raises(NotRereadError):
        write_instruments(path, (Instrument(name="x" * 200, kind="mat"),))
    assert not path.exists()


def test_one_mat_is_wanted_where_one_is_used() -> None:
    bar = Instrument(name="bar", kind="bar")
    assert only_of_kind((MAT, bar), "mat", file="f") == MAT
    for several in ((bar,), (MAT, MAT)):
        with pytest.raises(WhichInstrumentError):
            only_of_kind(several, "mat", file="f")


def test_times_without_an_offset_are_not_guessed() -> None:
    assert AT.astimezone(UTC).hour == 6  # what an offset is good for
    text = instrument_toml((MAT,))
    assert "2026-05-09T08:31:00+02:00" in text
