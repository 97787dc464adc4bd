"""An invented workshop's shelf of grips, as the stock list of a simulated studio. No real grip is meant."""

__all__ = ["SHELF_TOML"]

SHELF_TOML = """\
# Invented grips. Diameters in millimetres of the free grip, stations from the edge of the cap.

[tape]
double_sided_mm = 0.127
build_up_mm = 0.127
layer_g = 1.5
most_layers = 8

[[grips]]
mark = "ash 22 a"
length_mm = 267
mass_g = 47
core = "0.580 in"
families = ["irons", "woods"]
sections = [
    { station_mm = 12, outside_mm = 26.6 },
    { station_mm = 50.8, outside_mm = 22.5 },
    { station_mm = 101.6, outside_mm = 21.5 },
    { station_mm = 152.4, outside_mm = 20.6 },
    { station_mm = 250, outside_mm = 18.2 },
]

[[grips]]
mark = "ash 22 b"
length_mm = 267
mass_g = 50
core = "0.600 in"
families = ["irons", "woods"]
sections = [
    { station_mm = 12, outside_mm = 26.9 },
    { station_mm = 50.8, outside_mm = 22.9 },
    { station_mm = 101.6, outside_mm = 22.0 },
    { station_mm = 152.4, outside_mm = 21.1 },
    { station_mm = 250, outside_mm = 18.6 },
]

[[grips]]
mark = "beech even a"
length_mm = 268
mass_g = 51
core = "0.580 in"
families = ["irons", "woods"]
sections = [
    { station_mm = 12, outside_mm = 26.8 },
    { station_mm = 50.8, outside_mm = 22.9 },
    { station_mm = 101.6, outside_mm = 22.4 },
    { station_mm = 152.4, outside_mm = 22.0 },
    { station_mm = 250, outside_mm = 19.4 },
]

[[grips]]
mark = "beech even b"
length_mm = 268
mass_g = 54
core = "0.600 in"
families = ["irons", "woods"]
sections = [
    { station_mm = 12, outside_mm = 27.2 },
    { station_mm = 50.8, outside_mm = 23.6 },
    { station_mm = 101.6, outside_mm = 23.1 },
    { station_mm = 152.4, outside_mm = 22.7 },
    { station_mm = 250, outside_mm = 19.9 },
]

[[grips]]
mark = "cedar 24"
length_mm = 270
mass_g = 58
core = "0.600 in"
families = ["irons", "woods"]
sections = [
    { station_mm = 12, outside_mm = 28.0 },
    { station_mm = 50.8, outside_mm = 24.4 },
    { station_mm = 101.6, outside_mm = 23.5 },
    { station_mm = 152.4, outside_mm = 22.7 },
    { station_mm = 250, outside_mm = 20.2 },
]

[[grips]]
mark = "cedar 24 pulled long"
length_mm = 270
installed_length_mm = 280
mass_g = 58
core = "0.600 in"
families = ["irons", "woods"]
sections = [
    { station_mm = 12, outside_mm = 28.0 },
    { station_mm = 50.8, outside_mm = 24.4 },
    { station_mm = 101.6, outside_mm = 23.5 },
    { station_mm = 152.4, outside_mm = 22.7 },
    { station_mm = 250, outside_mm = 20.2 },
]

[[grips]]
mark = "elm no. 2"
length_mm = 264
mass_g = 41
core = "0.580 in"
families = ["irons", "woods"]
sections = [
    { station_mm = 12, outside_mm = 25.8 },
    { station_mm = 50.8, outside_mm = 21.7 },
    { station_mm = 101.6, outside_mm = 20.8 },
    { station_mm = 152.4, outside_mm = 20.0 },
    { station_mm = 250, outside_mm = 17.8 },
]

[[grips]]
mark = "fir light"
length_mm = 266
mass_g = 32
core = "0.600 in"
material = "foam"
families = ["irons", "woods"]
sections = [
    { station_mm = 12, outside_mm = 27.0 },
    { station_mm = 50.8, outside_mm = 23.2 },
    { station_mm = 152.4, outside_mm = 21.5 },
    { station_mm = 250, outside_mm = 19.0 },
]

[[grips]]
mark = "holm round"
length_mm = 266
mass_g = 72
core = "0.590 in"
families = ["putter"]
sections = [
    { station_mm = 12, outside_mm = 27.5 },
    { station_mm = 50.8, outside_mm = 25.4 },
    { station_mm = 152.4, outside_mm = 24.6 },
    { station_mm = 250, outside_mm = 21.8 },
]

[[grips]]
mark = "holm no. 2"
length_mm = 266
mass_g = 62
core = "0.590 in"
families = ["putter"]
sections = [
    { station_mm = 12, outside_mm = 25.6 },
    { station_mm = 50.8, outside_mm = 23.0 },
    { station_mm = 152.4, outside_mm = 21.6 },
    { station_mm = 250, outside_mm = 19.4 },
]

[[grips]]
mark = "yew flat"
length_mm = 268
mass_g = 78
core = "0.590 in"
shape = "not round"
families = ["putter"]
sections = [
    { station_mm = 12, outside_mm = 30.5 },
    { station_mm = 50.8, outside_mm = 29.4 },
    { station_mm = 152.4, outside_mm = 26.0 },
    { station_mm = 250, outside_mm = 22.4 },
]
"""
