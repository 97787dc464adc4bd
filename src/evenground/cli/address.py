"""`evenground address`: the nearest comfortable address for a body and a club."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from evenground.cli.common import AsJson, show, table
from evenground.visit import Family

if TYPE_CHECKING:
    from evenground.fit.address import Address

__all__ = ["address"]


def address(
    body: Annotated[
        Path, typer.Argument(help="TOML with the body's sizes: stature, mass, and what else was taken.")
    ],
    family: Annotated[
        Family, typer.Option(help="What the club is; it sets which angles count as comfortable.")
    ],
    length: Annotated[
        str, typer.Option(help='Length along the shaft with its unit, like "37 in" or "940 mm".')
    ],
    lie_deg: Annotated[float, typer.Option(help="Static lie, degrees.", min=30.0, max=90.0)],
    reference: Annotated[
        Literal["women", "men"] | None,
        typer.Option(
            help="Whose survey predicts sizes that were not taken, and whose segment table is used."
        ),
    ] = None,
    balance: Annotated[
        float, typer.Option(help="Wanted centre of mass, % of foot length from the heel.", min=10.0, max=90.0)
    ] = 50.0,
    sole_mm: Annotated[
        float, typer.Option(help="How much the shoe lifts the foot.", min=0.0, max=80.0)
    ] = 20.0,
    hands_mm: Annotated[
        float, typer.Option(help="Middle of both hands, from the butt end.", min=20.0, max=400.0)
    ] = 101.6,
    held_kg: Annotated[
        float, typer.Option(help="A mass held at the chest; read the cautions first.", min=0.0, max=10.0)
    ] = 0.0,
    out: Annotated[Path | None, typer.Option(help="Write the figure here, SVG or PDF.")] = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Find the nearest comfortable address that balances where wanted and brings the hands to the club."""
    from evenground.body.lengths import side_lengths
    from evenground.capture.fields import load_toml
    from evenground.capture.visit_file import BodyTable
    from evenground.fit.address import AddressClub, HeldLoad, Wanted, solve_address
    from evenground.units import parse_length_mm

    check = load_toml(body, BodyTable).check()
    sizes = {s.name: v for s in check.sizes if (v := check.mean_mm(s.name)) is not None}
    club = AddressClub(family=family, length_mm=parse_length_mm(length), lie_deg=lie_deg, station_mm=hands_mm)
    wanted = Wanted(
        mass_kg=75.0 if check.mass_kg is None else check.mass_kg,
        balance_percent=balance,
        model="de leva women" if reference == "women" else "de leva men",
        sole_mm=sole_mm,
        load=HeldLoad(mass_kg=held_kg) if held_kg > 0.0 else None,
    )
    found = solve_address(side_lengths(sizes, reference), club, wanted)
    if out is not None:
        from evenground.report.charts import write_chart
        from evenground.report.posed_drawing import address_drawing

        write_chart(address_drawing(found), out, title="Address from the side", room_mm=6.0)
    show(found, as_json=as_json, text=_text(found, held_kg=held_kg))


_CAUTION = (
    "Holding a mass: start with 1 kg, close to the chest, on a clear floor, somebody within reach; not for "
    "minors, nor with trouble in back or shoulders. Stop at pain or dizziness."
)


def _text(found: "Address", *, held_kg: float) -> str:
    rows = [
        (words, f"{e.value:.0f} {e.unit}", f"± {e.half_width():.0f}")
        for words, e in (
            ("trunk, from the vertical", found.trunk_deg),
            ("knee flex", found.knee_flex_deg),
            ("thigh, backward", found.thigh_deg),
            ("shank, forward", found.shank_deg),
            ("arms, away from hanging", found.arm_hang_deg),
            ("ball ahead of the heels", found.ball_from_heel_mm),
            ("ball ahead of the toes", found.ball_from_toe_mm),
        )
    ]
    lines = [
        table(rows),
        f"hands {found.hands_height_mm:.0f} mm high, balance {found.balance_percent:.0f} % of the foot",
    ]
    lines.append(_furthest(found))
    lines += [f"At its bound: {', '.join(found.limits)}."] if found.limits else []
    if found.predicted:
        names = ", ".join(n.replace("_", " ") for n in found.predicted)
        lines.append(f"Predicted from stature, not measured: {names}.")
    header = ("what one step does", "trunk", "knee", "arms", "ball")
    steps = [
        (
            s.change,
            f"{s.trunk_deg:+.1f}°",
            f"{s.knee_deg:+.1f}°",
            f"{s.arm_deg:+.1f}°",
            f"{s.ball_mm:+.0f} mm",
        )
        for s in found.sensitivities
    ]
    lines += [
        "",
        table(steps, header=header),
        "",
        "A starting point: a shaft bends at impact, which no address shows.",
    ]
    lines += [_CAUTION] if held_kg > 0.0 else []
    return "\n".join(lines)


def _furthest(found: "Address") -> str:
    off = found.furthest_spreads
    if abs(off) < 1.0:
        return "Every angle lies within its comfortable range."
    side = "more" if off > 0.0 else "less"
    return f"Furthest from comfortable: {found.furthest}, {side} than usual by {abs(off):.1f} of its spread."
