"""A small visit and studio as text, and the ways to put them into a folder or a zip."""

import zipfile
from collections.abc import Mapping
from pathlib import Path

STUDIO = """\
format = 1
stock = "stock.toml"
mat_thickness_mm = 4.5

[settings]
name = "Upstairs Room"
units = "inch eighths"
margin_deg = 1.5
valid_weeks = 8

[errors]
hip_line_deg = 1.2
width_mm = 3.0
"""

VISIT = """\
format = 1
visit = "sample"
date = 2026-05-09
teacher = "R. Tall"
width_convention = "heel centres"

[player]
name = "Wren Halloway"
handed = "left"
birth_year = 1988
reference = "women"

[shoes]
name = "spikeless"
length_mm = 285
heel_breadth = "2 3/4 in"

[safety]
screening = "cleared"

[[as_arrived]]
family = "irons"
width_mm = 320
toe_out_lead_deg = 20
toe_out_trail_deg = 6.5

[body]
stature = "5 ft 10 in"
arm_length_mm = [742, 745]
mass = "11 st 4 lb"

[body.limbs]
"left leg" = "prosthetic"

[hands.right]
length_mm = 185
palm_length_mm = 105

[[own_clubs]]
mark = "7 iron"
family = "irons"
length = "37 in"

[[ball]]
family = "irons"
inside_lead_heel_mm = [60, 64]
from_toe_line_mm = [300]

[[ground]]
recording = "mat/one.parquet"
footwear = "golf shoes"
stance = "fitted"

[hip_line]
landmark = "rear top of the hip bones"

[[hip_line.trials]]
trial = 2
width_mm = 400
hip_line_deg = -3.5

[[hip_line.trials]]
trial = 1
width_mm = 300
hip_line_deg = 6

[[posture]]
family = "irons"
trunk_deg = 38

[[turn]]
toward = "trail"
turn_deg = 52

[grip]
glove = true

[[grip.trials]]
pair = 1
club = "7 iron"
grip = "own"
hip_line_deg = 2.5

[aim]
distance_m = 2.5

[[aim.trials]]
trial = 1
offset_mm = -14

[skipped]
turn = "no time"
"""

FILES: Mapping[str, bytes] = {
    "visit.toml": VISIT.encode(),
    "studio.toml": STUDIO.encode(),
    "stock.toml": b"# the shelf\n",
    "mat/one.parquet": b"not read here",
}


def swapped(old: str, new: str, text: str = VISIT) -> str:
    """The sample with one passage written differently; the passage has to be there exactly once."""
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in the sample"
    return text.replace(old, new)


def folder_of(files: Mapping[str, bytes], folder: Path) -> Path:
    """Write files into a new folder."""
    folder.mkdir(parents=True)
    for name, content in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)
    return folder


def zip_of(files: Mapping[str, bytes], path: Path, *, top: str = "") -> Path:
    """Write files into a new zip, all of them under the folder `top` if there is one."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out:
        for name, content in files.items():
            out.writestr(f"{top}{name}", content)
    return path
