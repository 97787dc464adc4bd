"""The `evenground` command: each subcommand parses, calls one function, shows its answer."""

import typer

from evenground.cli.address import address
from evenground.cli.aim import aim
from evenground.cli.backup import backup
from evenground.cli.bag import bag
from evenground.cli.bar import bar, camera_app
from evenground.cli.body import body
from evenground.cli.budget import budget
from evenground.cli.change import change
from evenground.cli.common import report_errors
from evenground.cli.demo import demo
from evenground.cli.doctor import doctor
from evenground.cli.effects import effects
from evenground.cli.erase import erase
from evenground.cli.export import export
from evenground.cli.fit import fit
from evenground.cli.grip import grip
from evenground.cli.grip_check import grip_check
from evenground.cli.ground import ground
from evenground.cli.hand import hand
from evenground.cli.held_load import held_load
from evenground.cli.instrument import instrument_app
from evenground.cli.next import next_step
from evenground.cli.posture import posture
from evenground.cli.practice import practice
from evenground.cli.print_sheets import print_sheet
from evenground.cli.restore import restore
from evenground.cli.routine import routine
from evenground.cli.serve import serve
from evenground.cli.simulate import simulate_app
from evenground.cli.stance import stance
from evenground.cli.study import study
from evenground.cli.sway import sway
from evenground.cli.turn import turn
from evenground.cli.user import user
from evenground.cli.verify import verify
from evenground.cli.workshop import workshop_app

__all__ = ["app", "main"]

app = typer.Typer(
    name="evenground",
    help="Turns a golf studio's measurements of one player into a setup that fits their body.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


@app.callback()
def _root() -> None:
    """Turn a golf studio's measurements of one player into a setup that fits their body."""


app.command("demo")(demo)
app.command("serve")(serve)
app.command("backup")(backup)
app.command("restore")(restore)
app.command("export")(export)
app.command("erase")(erase)
app.command("user")(user)
app.command("doctor")(doctor)
app.command("fit")(fit)
app.command("verify")(verify)
app.command("next")(next_step)
app.command("body")(body)
app.command("bag")(bag)
app.command("stance")(stance)
app.command("grip")(grip)
app.command("grip-check")(grip_check)
app.command("turn")(turn)
app.command("aim")(aim)
app.command("practice")(practice)
app.command("routine")(routine)
app.command("held-load")(held_load)
app.command("ground")(ground)
app.command("sway")(sway)
app.add_typer(instrument_app, name="instrument")
app.command("study")(study)
app.command("effects")(effects)
app.command("change")(change)
app.command("budget")(budget)
app.command("hand")(hand)
app.command("bar")(bar)
app.command("print")(print_sheet)
app.add_typer(camera_app, name="camera")
app.command("posture")(posture)
app.command("address")(address)
app.add_typer(simulate_app, name="simulate")
app.add_typer(workshop_app, name="workshop")


def main() -> None:
    """Run the command line: exit status 1 for what a person can put right, 2 for wrong usage."""
    with report_errors():
        app()
