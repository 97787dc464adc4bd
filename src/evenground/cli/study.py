"""`evenground study`: how large a studio's own errors are, and whether two methods agree."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from evenground.cli.common import AsJson, show, table

if TYPE_CHECKING:
    from evenground.measure.agreement import Agreement, WithinPersons
    from evenground.measure.spread import Spread
    from evenground.measure.study import Study

__all__ = ["study"]


def study(
    file: Annotated[Path, typer.Argument(help="CSV: person,repeat,value and, if wanted, observer, method.")],
    of: Annotated[
        str | None,
        typer.Option(
            "--of", help="What was measured: hip line, posture, turn, ball or width; sets the unit."
        ),
    ] = None,
    unit: Annotated[str, typer.Option(help="Unit of the values, where --of does not say it.")] = "",
    into: Annotated[
        Path | None,
        typer.Option("--into", help="Put the result into use in this studio.toml; needs --of."),
    ] = None,
    change: Annotated[
        float | None, typer.Option("--change", help="A change that matters: how many repeats show it?", min=0)
    ] = None,
    chart: Annotated[
        Path | None, typer.Option("--chart", help="Draw the result into FILE.svg or .pdf.")
    ] = None,
    seed: Annotated[int, typer.Option(help="Seed of the drawn ranges.")] = 1,
    *,
    as_json: AsJson = False,
) -> None:
    """Work out a studio's own errors from readings that were repeated."""
    from evenground.assess.studying import assess_study
    from evenground.capture.study_table import read_study
    from evenground.studies import studied

    kind = None if of is None else studied(of)
    if into is not None and kind is None:
        raise typer.BadParameter("Say with --of what was measured.", param_hint="--into")
    worked = assess_study(
        read_study(file), unit=unit if kind is None else kind.unit, change=change, seed=seed
    )
    if chart is not None:
        from evenground.report.charts import write_chart
        from evenground.report.study_drawing import study_drawing

        write_chart(study_drawing(worked), chart, title=f"Measurement study, {file.stem}")
    used = None
    if into is not None and kind is not None:
        from evenground.capture.studio_errors import use_study

        sd, between = worked.errors()
        use_study(into, kind, sd, between)
        used = {"file": into.name, kind.one: float(f"{sd:.3g}"), kind.between: between}
    plain = {
        "studies": worked.studies,
        "why_not": worked.why_not,
        "agreement": worked.agreement,
        "within_persons": worked.within,
        "not_taken": worked.not_taken,
        "repeats_for_change": worked.repeats,
        "used": used,
    }
    lines = [line for name, one in worked.studies.items() for line in _study(name, one)]
    lines += [f"{name}: {why}" for name, why in worked.why_not.items()]
    lines += _agreement(worked.agreement, worked.within, worked.methods)
    lines += _more(worked.not_taken, worked.repeats, change, used)
    show(plain, as_json=as_json, text="\n".join(lines).rstrip())


def _spread(found: "Spread") -> str:
    return f"{found.value:.2f} ({found.interval.low:.2f} to {found.interval.high:.2f}) {found.unit}".rstrip()


def _study(name: str, found: "Study") -> list[str]:
    observers = len(found.observer_names)
    counted = [_counted(found.readings, "reading"), _counted(found.people, "person")]
    title = f"{name}: " if name else ""
    lines = [f"{title}{counted[0]}, {counted[1]}, {_counted(observers, 'observer')}", ""]
    rows = [("error of one reading (SEM)", _spread(found.sem))]
    if found.observers is not None and observers > 1:
        rows.append(("by any observer", _spread(found.observers.any_sd)))
    rows.append(("smallest real change, same observer", f"{found.real_change:.2f} {found.unit}".rstrip()))
    if found.real_change_any is not None:
        rows.append(("smallest real change, any", f"{found.real_change_any:.2f} {found.unit}".rstrip()))
    lines += [table(rows), ""]
    if found.observers is not None:
        parts = [(c.name, f"{c.sd:.2f}", f"{100 * c.share:.0f} %") for c in found.observers.components]
        lines += [table(parts, header=("where a reading's scatter is", "SD", "share")), ""]
        forms = [
            (f"ICC({i.form})", f"{i.value:.2f}", f"{i.interval.low:.2f} to {i.interval.high:.2f}", i.means)
            for i in found.observers.icc
        ]
        lines += [table(forms, header=("form", "value", "95 % range", "of")), ""]
    for s in found.suspects:
        lines.append(
            f"look at {s.person}, {s.observer}, repeat {s.repeat}: {s.value:g}, the others about {s.usual:g}"
        )
    notes = [*found.notes, *([found.reason] if found.reason else [])]
    return [*lines, *notes, ""]


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def _agreement(
    found: "Agreement | None", within: "WithinPersons | None", methods: tuple[str, ...]
) -> list[str]:
    if found is None:
        return []
    rows = [
        (f"{methods[0]} less {methods[1]}", f"{found.bias.value:+.2f} ± {found.bias.half_width():.2f}"),
        ("nineteen differences in twenty", f"{found.lower:+.2f} to {found.upper:+.2f}"),
        ("lower limit itself", f"{found.lower_range.low:+.2f} to {found.lower_range.high:+.2f}"),
        ("upper limit itself", f"{found.upper_range.low:+.2f} to {found.upper_range.high:+.2f}"),
    ]
    if within is not None:
        rows.append(("correlation within persons", f"{within.r:.2f} (p {within.p:.2g}); not agreement"))
    return [table(rows), *found.notes, ""]


def _more(
    not_taken: int, repeats: int | None, change: float | None, used: dict[str, Any] | None
) -> list[str]:
    lines = []
    if not_taken:
        lines.append(f"{_counted(not_taken, 'line')} without a value: not taken")
    if repeats is not None:
        lines.append(
            f"a change of {change:g} shows in four of five visits with "
            f"{_counted(repeats, 'repeat')} each time"
        )
    if used is not None:
        lines.append(f"in use in {used['file']}: every decision takes this error from now on")
    return lines
