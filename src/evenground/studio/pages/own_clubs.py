"""Own clubs: each club as it came in, with the butt at two stations."""

from evenground.studio.hour import Progress
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.facts import figures
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import CheckPage, CheckView, Doing, KeepField, KeepForm
from evenground.studio.typed import Control
from evenground.visit import FAMILIES

__all__ = ["PAGE"]

FIELDS: tuple[tuple[str, str], ...] = (
    ("mark", "mark"),
    ("family", "family"),
    ("grip_upper_mm", "grip, upper"),
    ("grip_lower_mm", "grip, lower"),
    ("butt_upper_mm", "butt, upper"),
    ("butt_lower_mm", "butt, lower"),
    ("length_mm", "length"),
    ("lie_deg", "lie"),
    ("total_mass_g", "mass"),
    ("balance_mm", "balance from the butt"),
)


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    return CheckView(
        check="own clubs",
        title="Own clubs",
        under="diameters outside, 50.8 and 152.4 mm below the cap unless the hands sit elsewhere",
        doing=_doing(scene),
        grids=tuple(g for g in (_grid(scene),) if g is not None),
        facts=figures(scene, "grip"),
        keep=_keep(),
    )


def progress(scene: Scene) -> Progress:
    """How far the check is."""
    clubs = scene.visit.own_clubs
    if not clubs:
        return Progress(state="partly" if scene.log.of("own club") else "waiting")
    known = sum(c.butt_upper_mm is not None and c.butt_lower_mm is not None for c in clubs)
    count = f"{known} of {len(clubs)}"
    if known < len(clubs):
        return Progress(state="partly", count=count)
    return Progress(state="done", count=count, enough="Every club's butt is known.")


def _doing(scene: Scene) -> Doing:
    clubs = scene.visit.own_clubs
    if not clubs:
        return Doing(
            what="Take the first club in hand.", why="Putter, one iron and one wood stand for the set."
        )
    for club in clubs:
        if club.butt_upper_mm is None or club.butt_lower_mm is None:
            return Doing(
                what=f"Measure the butt of {club.mark} at both stations.",
                why="Without it no tape layers can be worked out, only measured.",
            )
    return Doing(what="Enough, or take the next club.", why="Every club's butt is known.", enough=True)


def _keep() -> KeepForm:
    return KeepForm(
        kind="own club",
        button="Add this club",
        in_one=True,
        fields=(
            KeepField(name="mark", label="mark on it", kind="large", once=True),
            KeepField(
                name="family",
                label="family",
                kind="choice",
                value="irons",
                choices=tuple((f, f) for f in FAMILIES),
            ),
        ),
    )


def _control(field: str) -> Control:
    return {"mark": "words", "family": "choice"}.get(field, "size")  # type: ignore[return-value]


def _grid(scene: Scene) -> Grid | None:
    slots = scene.log.of("own club")
    if not slots:
        return None
    unfinished = {u.key: u.reason for u in scene.folded.unfinished if u.kind == "own club"}
    lines = []
    for slot in slots:
        name = str(slot.values.get("mark", "club"))
        cells = tuple(
            cell(
                scene.log,
                scene.system,
                Spot(kind="own club", keys={"club": slot.key[0]}, field=field),
                f"{name}, {label}",
                control=_control(field),
                choices=FAMILIES if field == "family" else (),
            )
            for field, label in FIELDS
        )
        lines.append(
            Line(
                label=name,
                cells=cells,
                note=unfinished.get(slot.key, ""),
                take_back=" ".join(map(str, slot.readings)),
            )
        )
    return Grid(
        name="clubs",
        title="Clubs as they came in",
        columns=tuple(Column(label=label) for _, label in FIELDS),
        lines=tuple(lines),
        stacked=True,
    )


PAGE = CheckPage(check="own clubs", view=view, progress=progress)
