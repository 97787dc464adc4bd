"""`evenground body`: sizes with their errors, what looks wrong in a sentence each, and what is predicted."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from evenground.cli.common import AsJson, show, table

if TYPE_CHECKING:
    from evenground.body.report import BodyReport
    from evenground.body.survey import Reference
    from evenground.body.technical_error import TechnicalError
    from evenground.estimate import Estimate
    from evenground.visit import BodyCheck

__all__ = ["body"]

OLDEST_ASKED = 130


def body(
    files: Annotated[
        list[Path],
        typer.Argument(help="Body TOML, or a visit bundle; of several the technical error is told too."),
    ],
    *,
    reference: Annotated[
        str | None, typer.Option(help="Survey table to compare with, women or men; a bundle names its own.")
    ] = None,
    age: Annotated[
        int | None,
        typer.Option(
            min=3, max=OLDEST_ASKED, help="Years; outside the survey's 17 to 58 only ranges are held."
        ),
    ] = None,
    picture: Annotated[
        Path | None, typer.Option(help="Draw the figure with its sizes into FILE.svg or FILE.pdf.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Check the sizes of a body: what does not belong, what is predicted, how well they repeat."""
    if reference not in (None, "women", "men"):
        raise typer.BadParameter("women or men", param_hint="--reference")
    if picture is not None and len(files) > 1:
        raise typer.BadParameter("one FILE at a time can be drawn", param_hint="--picture")
    found = [_report(file, reference, age) for file in files]  # type: ignore[arg-type]
    if picture is not None:
        _draw(picture, found[0][1])
    if len(files) == 1:
        show(found[0][1], as_json=as_json, text=_text(found[0][1]))
        return
    errors = _technical([check for check, _ in found])
    plain = {"bodies": [report for _, report in found], "technical_error": errors}
    parts = [f"{file.name}\n{_text(report)}" for file, (_, report) in zip(files, found, strict=True)]
    show(plain, as_json=as_json, text="\n\n".join([*parts, _technical_text(errors)]))


def _report(file: Path, reference: "Reference | None", age: int | None) -> "tuple[BodyCheck, BodyReport]":
    from evenground.assess.person import age_years
    from evenground.body.ranges import check_body
    from evenground.capture.body_file import BodyTable
    from evenground.capture.bundle import read_bundle
    from evenground.capture.fields import load_toml
    from evenground.visit import BodyCheck

    if not file.is_dir() and file.suffix.lower() != ".zip":
        check = load_toml(file, BodyTable).check()
        return check, check_body(check, reference=reference, age_years=age)
    visit = read_bundle(file).visit
    check = visit.body or BodyCheck()
    report = check_body(
        check,
        reference=reference or visit.player.reference,
        hands=visit.hands,
        age_years=age if age is not None else age_years(visit),
    )
    return check, report


def _draw(picture: Path, report: "BodyReport") -> None:
    from evenground.report.body_drawing import body_drawing
    from evenground.report.charts import write_chart

    drawing = body_drawing(report)
    if drawing is None:
        raise typer.BadParameter(
            "a figure needs a size and --reference women or men, so that the rest can be predicted",
            param_hint="--picture",
        )
    write_chart(drawing, picture, title="A body with its sizes", wide_mm=50.0, room_mm=32.0)


def _technical(checks: "list[BodyCheck]") -> "dict[str, TechnicalError]":
    from evenground.body.sizes import SIZE_NAMES
    from evenground.body.technical_error import NoRepeatsError, TechnicalError, technical_error

    found: dict[str, TechnicalError] = {}
    for name in SIZE_NAMES:
        people = [s.readings_mm for check in checks for s in check.sizes if s.name == name]
        try:
            found[name] = technical_error(people, what=name)
        except NoRepeatsError:
            continue
    return found


def _text(report: "BodyReport") -> str:
    rows = [
        (
            " ".join(w for w in (s.side, s.name.replace("_", " ")) if w),
            _size(s.size_mm),
            _size(s.expected_mm),
            "" if s.off_sd is None else f"{s.off_sd:+.1f} SD",
            s.band or "",
        )
        for s in report.sizes
    ]
    parts = [table(rows, header=("size", "measured", "given the others", "off", "survey"))] if rows else []
    if report.mass_kg is not None:
        parts.append(f"mass {report.mass_kg:g} kg, given the sizes {_size(report.mass_expected_kg)}")
    parts += ["", *(w.sentence for w in report.warnings)] if report.warnings else []
    parts += [] if report.warnings or not rows else ["", "Nothing looks wrong."]
    parts += ["", *(a.sentence for a in report.asks)] if report.asks else []
    if report.predicted:
        predicted = [(p.name.replace("_", " "), _size(p.size_mm), "predicted") for p in report.predicted]
        parts += ["", table(predicted)]
    if report.hip_joints is not None:
        parts += ["", f"hip joints {_size(report.hip_joints.spacing_mm)} apart, from the front spines"]
    parts += ["", *report.notes] if report.notes else []
    return "\n".join(parts) or "No size is entered."


def _size(size: "Estimate | None") -> str:
    from evenground.report.words import estimate_text

    return "-" if size is None else estimate_text(size, decimals=0)


def _technical_text(errors: "dict[str, TechnicalError]") -> str:
    if not errors:
        return "Nobody was measured twice: no technical error can be told."
    rows: list[tuple[Any, ...]] = [
        (
            name.replace("_", " "),
            f"{e.tem_mm:.1f} mm",
            f"{e.relative_percent:.2f} %",
            "-" if e.reliability is None else f"{e.reliability:.3f}",
            f"{e.real_change_mm:.0f} mm",
            str(e.dof),
        )
        for name, e in errors.items()
    ]
    return table(
        rows, header=("size", "technical error", "relative", "reliability", "real change", "repeats")
    )
