"""The whole chain, from a bundle to findings: one visit, one answer, and no check takes the others down."""

import math
import subprocess
import sys
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from evenground.assess import assess
from evenground.capture.bundle import read_bundle
from evenground.capture.bundle_writer import write_bundle
from evenground.cli import main
from evenground.example import example_bundle
from evenground.findings import FamilySetup, Findings
from evenground.floor import Handed
from evenground.measure.ground import Ground
from evenground.measure.hip_line import HipLines
from evenground.plain import dump, to_plain
from evenground.simulate.player import simulate_player
from evenground.simulate.player_files import blobs_of
from evenground.simulate.player_scenario import Scenario, SimulatedVisit
from evenground.visit import FAMILIES, Visit
from tests.sure import sure

SHORT = Scenario(reference="women", placements=2, placement_s=3.0)
FITTED = "ground.fitted.golf shoes.irons"


def fitted(path: Path) -> Findings:
    bundle = read_bundle(path)
    return assess(bundle.visit, bundle.studio, bundle.open_blob, digests=bundle.digests)


@dataclass(frozen=True)
class Made:
    """A simulated visit whose bundle can be changed before it is written."""

    home: Path
    visit: SimulatedVisit

    def findings(
        self, *, change: Callable[[Visit], Visit] = lambda v: v, blobs: Mapping[str, bytes] | None = None
    ) -> Findings:
        folder = self.home / str(len(list(self.home.iterdir())))
        files = blobs_of(self.visit) | dict(blobs or {})
        write_bundle(folder, change(self.visit.visit), self.visit.studio, files)
        return fitted(folder)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    return Made(home=tmp_path_factory.mktemp("right"), visit=simulate_player(3, scenario=SHORT))


@pytest.fixture(scope="module")
def plain(made: Made) -> Findings:
    return made.findings()


@pytest.fixture(scope="module")
def example() -> Findings:
    return fitted(example_bundle())


def kinds(findings: Findings, status: str) -> set[str]:
    return {f.kind for f in findings.findings if f.status == status}


def reason(findings: Findings, kind: str) -> str:
    found = findings.of(kind)
    assert found is not None
    assert found.value is None
    assert found.reason is not None
    return found.reason


def test_every_finding_of_the_example_is_measured(example: Findings) -> None:
    assert kinds(example, "not measured") == set()
    expected = {
        "safety",
        "body",
        "hip line",
        "stance",
        "turn",
        "grip.wanted",
        "posture.irons",
        "aim.coached",
        FITTED,
    }
    assert expected <= kinds(example, "measured")
    assert {f"setup.{f}" for f in FAMILIES} <= kinds(example, "measured")


def test_example_zipped_gives_the_same_findings_to_the_last_digit(example: Findings, tmp_path: Path) -> None:
    folder = example_bundle()
    packed = tmp_path / "visit.zip"
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as out:
        for file in sorted(p for p in folder.rglob("*") if p.is_file()):
            out.write(file, f"{folder.name}/{file.relative_to(folder).as_posix()}")
    assert dump(fitted(packed)) == dump(example)


def test_findings_hold_no_number_without_an_end(example: Findings) -> None:
    assert "NaN" not in dump(example)
    assert len({f.kind for f in example.findings}) == len(example.findings)
    assert all(len(f.key) == 16 for f in example.findings)


def test_simulated_truth_lies_where_the_findings_say(made: Made, plain: Findings) -> None:
    ground = plain.value(FITTED)
    assert isinstance(ground, Ground)
    truths = [t for n, t in made.visit.truth.placements.items() if "fitted" in n]
    width = sum(t.heel_centres_mm for t in truths) / len(truths)
    assert sure(ground.stance_width_mm.heel_centres).value == pytest.approx(width, abs=5.0)  # half the pitch
    load = sum(t.load_left_percent for t in truths) / len(truths)
    assert sure(ground.feet.left.load_percent).value == pytest.approx(load, abs=2.0)  # 3 s of sway


def test_width_that_is_called_square_is_square_in_truth(made: Made, plain: Findings) -> None:
    setup, truth = plain.value("setup.irons"), made.visit.truth
    assert isinstance(setup, FamilySetup)
    assert (setup.answer, made.visit.visit.hip_line is not None) == ("square", True)
    assert setup.width_heel_centres_mm is not None
    assert made.visit.visit.hip_line is not None
    curve, middle = truth.curves["irons"], (len(made.visit.visit.hip_line.trials) + 1) / 2.0
    start = np.interp(setup.width_heel_centres_mm.value, curve.width_mm, curve.hip_line_deg)
    assert abs(start + truth.drift_deg * middle) <= made.visit.studio.settings.margin_deg


SWAP = {"left": "right", "right": "left"}


def swapped(value: Any) -> Any:
    """A plain result with left and right changed over."""
    if isinstance(value, dict):
        return {SWAP.get(k, k): swapped(v) for k, v in value.items()}
    return [swapped(v) for v in value] if isinstance(value, list) else value


def assert_close(one: Any, other: Any, path: str = "") -> None:
    """The same shape and words, numbers within what another order of float32 sums can do."""
    assert type(one) is type(other), path
    if isinstance(one, dict):
        assert one.keys() == other.keys(), path
        for key in one:
            assert_close(one[key], other[key], f"{path}.{key}")
    elif isinstance(one, list):
        assert len(one) == len(other), path
        for i, (a, b) in enumerate(zip(one, other, strict=True)):
            assert_close(a, b, f"{path}[{i}]")
    elif isinstance(one, float):
        assert math.isclose(one, other, rel_tol=1e-3, abs_tol=1e-3), f"{path}: {one} {other}"
    else:
        assert one == other, path


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> Findings:
    handed: Handed = "left"
    visit = simulate_player(3, handed=handed, scenario=SHORT)
    return Made(home=tmp_path_factory.mktemp("left"), visit=visit).findings()


def test_mirrored_visit_gives_the_same_setups(plain: Findings, left: Findings) -> None:
    for family in FAMILIES:
        assert_close(
            to_plain(left.value(f"setup.{family}")), to_plain(plain.value(f"setup.{family}")), family
        )


def test_mirrored_visit_gives_the_same_stance_grip_posture_turn_and_aim(
    plain: Findings, left: Findings
) -> None:
    groups = ("stance", "hip line", "grip", "posture", "turn", "aim", "clubs", "safety")
    shared = [f.kind for f in plain.findings if f.kind.startswith(groups)]
    assert len(shared) > 15
    for kind in shared:
        assert_close(to_plain(left.value(kind)), to_plain(plain.value(kind)), kind)


def test_mirrored_visit_swaps_the_sides_of_the_body_and_nothing_else(plain: Findings, left: Findings) -> None:
    def by_side(findings: Findings, sides: dict[str, str]) -> Any:
        body = to_plain(findings.value("body"))
        sizes = body.pop("sizes")
        return body | {f"{s['name']} {sides.get(s.pop('side'), '')}": s for s in sizes}

    assert_close(by_side(left, {s: s for s in SWAP}), by_side(plain, SWAP), "body")


def test_mirrored_visit_swaps_the_feet_and_keeps_what_is_open(plain: Findings, left: Findings) -> None:
    one, other = plain.value(FITTED), left.value(FITTED)
    assert isinstance(one, Ground)
    assert isinstance(other, Ground)
    assert_close(to_plain(other.feet), swapped(to_plain(one.feet)), "feet")
    assert_close(to_plain(other.stance_width_mm), to_plain(one.stance_width_mm), "widths")
    for name in ("heel_line_deg", "load_line_deg", "fore_aft_offset_mm"):
        assert_close(to_plain(getattr(other, name)), to_plain(getattr(one, name)), name)
    assert sure(other.cop_mm.x).value == pytest.approx(-sure(one.cop_mm.x).value, abs=1e-2)


def test_mirrored_visit_gives_a_mirrored_card(plain: Findings, left: Findings) -> None:
    assert [line.key for line in left.card] == [line.key for line in plain.card]
    sides = {"left": "right", "right": "left"}
    for one, other in zip(plain.card, left.card, strict=True):
        mirrored = " ".join(sides.get(word, word) for word in one.now.split(" "))
        assert (other.answer, other.now) == (one.answer, mirrored)
    assert any("left" in line.now.split() or "right" in line.now.split() for line in plain.card)


def test_turning_the_whole_stance_leaves_the_hip_line_against_the_heel_line(
    made: Made, plain: Findings
) -> None:
    def turn(visit: Visit) -> Visit:
        assert visit.hip_line is not None
        trials = tuple(
            replace(t, hip_line_deg=t.hip_line_deg + 4.0, heel_line_deg=(t.heel_line_deg or 0.0) + 4.0)
            for t in visit.hip_line.trials
        )
        return replace(visit, hip_line=replace(visit.hip_line, trials=trials))

    before, after = plain.value("hip line"), made.findings(change=turn).value("hip line")
    assert isinstance(before, HipLines)
    assert isinstance(after, HipLines)
    for one, other in zip(before.readings, after.readings, strict=True):
        assert other.against_target_deg - one.against_target_deg == pytest.approx(4.0)
        assert other.against_heel_line_deg == pytest.approx(one.against_heel_line_deg)


def test_turning_the_whole_stance_on_the_mat_turns_its_heel_line_and_not_its_load_line() -> None:
    from evenground.measure.ground import describe

    scenario = replace(SHORT, placements=1)
    turned = simulate_player(3, scenario=replace(scenario, stance_turned_deg=4.0))
    straight = simulate_player(3, scenario=scenario)
    name = "mat/as-arrived-1.parquet"
    one, other = (describe(v.recordings[name], handed="right", mass_kg=70.0) for v in (straight, turned))
    assert sure(other.heel_line_deg).value - sure(one.heel_line_deg).value == pytest.approx(4.0, abs=0.5)
    assert sure(other.load_line_deg).value == pytest.approx(sure(one.load_line_deg).value, abs=0.5)


def test_recording_that_cannot_be_read_is_left_out_and_said(made: Made, plain: Findings) -> None:
    findings = made.findings(blobs={"mat/fitted-1.parquet": b"PAR1 cut"})
    number = 1 + [p.recording for p in made.visit.visit.ground].index("mat/fitted-1.parquet")
    assert "fitted-1.parquet" in reason(findings, f"placement {number}")
    pooled = findings.of(FITTED)
    assert pooled is not None
    assert pooled.value is not None
    assert pooled.reason is not None
    assert "1 of 2 placements could not be used" in pooled.reason
    # With it go what was seen of its feet, and the comparison of stances, which needs two placements each.
    gone = kinds(plain, "measured") - kinds(findings, "measured")
    change = "ground change.as arrived to fitted.golf shoes.irons"
    assert gone == {f"placement {number}", f"placement {number} seen", change}
    assert findings.of(change) is None
    assert kinds(findings, "measured") < kinds(plain, "measured")


def test_mat_that_recorded_nothing_usable_leaves_the_rest_of_the_visit(made: Made) -> None:
    blobs = {p.recording: b"not a recording" for p in made.visit.visit.ground}
    findings = made.findings(blobs=blobs)
    assert "none of the 2 placements could be used" in reason(findings, FITTED)
    setup = findings.value("setup.irons")
    assert isinstance(setup, FamilySetup)
    assert setup.width_inside_mm is not None  # by the outsole's breadth instead
    assert any("placement" in said for said in findings.not_measured)


def one_trial(visit: Visit) -> Visit:
    assert visit.hip_line is not None
    return replace(visit, hip_line=replace(visit.hip_line, trials=visit.hip_line.trials[:1]))


def no_aim(visit: Visit) -> Visit:
    assert visit.aim is not None
    return replace(visit, aim=replace(visit.aim, trials=()))


def test_too_few_hip_line_trials_leave_a_row_of_what_else_was_measured(made: Made) -> None:
    findings = made.findings(change=one_trial)
    assert findings.value("stance") is None
    assert any(said.startswith("stance") and "1" in said for said in findings.not_measured)
    setup = findings.value("setup.irons")
    assert isinstance(setup, FamilySetup)
    assert (setup.answer, setup.width_inside_mm) == ("not measured", None)
    assert setup.toe_out_lead_deg is not None


def test_aim_without_a_trial_is_not_done(made: Made, plain: Findings) -> None:
    findings = made.findings(change=no_aim)
    assert reason(findings, "aim") == "not done"
    aim = {k for k in kinds(plain, "measured") if k.startswith("aim")}
    assert kinds(findings, "measured") == kinds(plain, "measured") - aim


def test_stock_list_that_is_no_stock_list_leaves_what_the_hands_want(made: Made) -> None:
    findings = made.findings(blobs={"stock.toml": b"grips = 7"})
    assert "stock.toml" in reason(findings, "grip.build")
    assert findings.value("grip.wanted") is not None


def test_skipped_check_gives_the_teachers_own_reason(made: Made) -> None:
    findings = made.findings(change=lambda v: replace(v, turn=(), skipped={"turn": "ran out of time"}))
    assert reason(findings, "turn") == "skipped: ran out of time"


@pytest.mark.parametrize("screening", ["measuring only", None])
def test_player_who_was_not_cleared_gets_no_turn(made: Made, screening: Any) -> None:
    findings = made.findings(change=lambda v: replace(v, screening=screening))
    assert "measuring only" in reason(findings, "turn") or "screening" in reason(findings, "turn")
    assert not any("turn" in line.key for line in findings.card)
    assert isinstance(findings.value("setup.irons"), FamilySetup)


def test_visit_with_nothing_but_a_name_says_of_each_check_that_it_was_not_done(made: Made) -> None:
    bare = Visit(visit="bare", day=made.visit.visit.day, player=made.visit.visit.player)
    findings = made.findings(change=lambda _: bare)
    gone = " ".join(findings.not_measured)
    for check in ("safety", "body", "ground", "hip line", "stance", "posture", "turn", "grip", "aim"):
        assert check in gone
    assert kinds(findings, "measured") <= {f"setup.{f}" for f in FAMILIES}
    assert not any(line.answer in ("square", "likely") for line in findings.card)


@dataclass(frozen=True)
class Ran:
    """What a command left behind."""

    status: int
    out: str
    err: str


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., Ran]:
    """Run the command in this process, as its console script would."""

    def started(*arguments: str) -> Ran:
        monkeypatch.setattr(sys, "argv", ["evenground", *arguments])
        with pytest.raises(SystemExit) as left:
            main()
        said = capsys.readouterr()
        return Ran(status=int(left.value.code or 0), out=said.out, err=said.err)

    return started


def test_help_starts_without_importing_numpy() -> None:
    code = (
        "import sys\n"
        "sys.argv = ['evenground', '--help']\n"
        "from evenground.cli import main\n"
        "try:\n    main()\n"
        "except SystemExit as left:\n    assert left.code in (0, None)\n"
        "heavy = {'numpy', 'scipy', 'pyarrow', 'pydantic', 'django'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=60
    )
    assert done.returncode == 0, done.stderr
    assert "fit" in done.stdout


BAD_BUNDLES: dict[str, Callable[[Path], Path]] = {
    "nothing there": lambda home: home / "nobody",
    "an empty folder": lambda home: home,
    "a text file": lambda home: _written(home / "visit.txt", b"format = 1"),
    "a cut zip": lambda home: _written(home / "visit.zip", b"PK\x03\x04"),
    "a visit that is no TOML": lambda home: _written(home / "visit.toml", b"\xff\xfe").parent,
    "a visit without a player": lambda home: _written(home / "visit.toml", b"format = 1").parent,
}


def _written(path: Path, content: bytes) -> Path:
    path.write_bytes(content)
    return path


@pytest.mark.parametrize("bad", BAD_BUNDLES.values(), ids=BAD_BUNDLES.keys())
def test_bad_bundle_exits_1_with_one_sentence_and_writes_nothing(
    tmp_path: Path, bad: Callable[[Path], Path], run: Callable[..., Ran]
) -> None:
    home, out = tmp_path / "home", tmp_path / "out"
    home.mkdir()
    done = run("fit", str(bad(home)), "--out", str(out), "--json")
    assert done.status == 1
    assert done.out == ""
    assert len(done.err.strip().splitlines()) == 1
    assert "Traceback" not in done.err
    assert not out.exists()


@pytest.mark.parametrize(
    "arguments", [["fit"], ["fit", "visit"], ["fit", "visit", "--out", "x", "--nonsense"]]
)
def test_wrong_usage_exits_2(arguments: list[str], run: Callable[..., Ran]) -> None:
    done = run(*arguments)
    assert done.status == 2
    assert done.out == ""
    assert "Traceback" not in done.err


def test_fit_writes_findings_and_three_papers(
    tmp_path: Path, example: Findings, run: Callable[..., Ran]
) -> None:
    done = run("fit", str(example_bundle()), "--out", str(tmp_path / "out"), "--json")
    assert done.status == 0, done.err
    names = {p.name for p in (tmp_path / "out").iterdir()}
    assert names == {"findings.json", "setup-card.pdf", "width-strip.pdf", "build-sheet.pdf"}
    assert (tmp_path / "out" / "findings.json").read_text("utf-8") == dump(example)
    assert done.out.strip() == dump(example)
    for paper in ("setup-card.pdf", "width-strip.pdf", "build-sheet.pdf"):
        assert (tmp_path / "out" / paper).read_bytes().startswith(b"%PDF-")
