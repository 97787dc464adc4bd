"""Strategies that several tests share: visits as a bundle can hold them."""

from datetime import UTC, date, datetime

from hypothesis import strategies as st

from evenground.capture.library_file import usual_cues, usual_routine
from evenground.instruments import FlippedBar, Instrument, InstrumentCheck
from evenground.measure.posture_view import SIDE_POINTS
from evenground.visit import (
    CHECKS,
    FAMILIES,
    AimCheck,
    AimPractice,
    AimTrial,
    AsArrived,
    BallPlace,
    BodyCheck,
    BodySize,
    CueChoice,
    EyeLine,
    FullSwingAim,
    GripCheck,
    GripTrial,
    HandSize,
    HeldLoadPair,
    HipLineCheck,
    HipLineTrial,
    OwnClub,
    Placement,
    Player,
    PostureReading,
    PostureView,
    RoutineRun,
    Shoes,
    StudioErrors,
    StudioGripModel,
    StudioSettings,
    StudioSnapshot,
    TurnReading,
    Visit,
)

__all__ = ["studios", "visits"]

texts = st.text(st.characters(codec="utf-8", exclude_characters="\x00"), min_size=1, max_size=20)
maybe = st.none
angles = st.floats(-90, 90)
families = st.sampled_from(FAMILIES)
sizes = st.one_of(st.floats(300, 2000), st.integers(100, 600).map(lambda eighths: eighths * 25.4 / 8))
file_names = st.from_regex(r"[a-z]{1,8}/[a-z0-9 ]{1,8}\.[a-z]{3}", fullmatch=True)

players = st.builds(
    Player,
    name=texts,
    handed=st.sampled_from(["right", "left"]),
    birth_year=maybe() | st.integers(1900, 2100),
    reference=st.sampled_from([None, "women", "men"]),
)
shoes = st.builds(
    Shoes,
    name=texts,
    length_mm=maybe() | st.floats(151, 419),
    heel_breadth_mm=maybe() | st.floats(31, 129),
)
as_arrived = st.lists(
    st.builds(AsArrived, family=families, width_mm=st.floats(51, 1499), toe_out_lead_deg=maybe() | angles),
    max_size=3,
    unique_by=lambda a: a.family,
).map(tuple)
body_names = st.sampled_from(["stature", "shoulder_height", "arm_length", "crotch_height"])
ORDER = ("stature", "shoulder_height", "crotch_height", "arm_length", "foot_length")
bodies = st.builds(
    BodyCheck,
    sizes=st.lists(
        st.builds(BodySize, name=body_names, readings_mm=st.lists(sizes, min_size=1, max_size=3).map(tuple))
        | st.builds(
            BodySize,
            name=st.sampled_from(["arm_length", "foot_length"]),
            side=st.sampled_from(["left", "right"]),
            readings_mm=st.lists(sizes, min_size=1, max_size=2).map(tuple),
        ),
        max_size=4,
        unique_by=lambda s: (s.name, s.side),
    ).map(lambda found: tuple(sorted(found, key=lambda s: (s.side or "", ORDER.index(s.name))))),
    mass_kg=maybe() | st.floats(11, 340),
    limbs=st.dictionaries(
        st.sampled_from(["left arm", "right foot"]), st.sampled_from(["absent", "prosthetic"])
    ),
    seated=st.booleans(),
    shoe_size=st.sampled_from([None, "EU 42", "UK 8 1/2"]),
)
hands = st.lists(
    st.builds(
        HandSize,
        side=st.sampled_from(["left", "right"]),
        length_mm=st.floats(181, 279),
        palm_length_mm=st.floats(41, 179),
        se_mm=st.floats(0.1, 10),
        glove=st.booleans(),
        sore=st.booleans(),
    ),
    max_size=2,
    unique_by=lambda h: h.side,
).map(lambda found: tuple(sorted(found, key=lambda h: h.side)))
clubs = st.lists(
    st.builds(
        OwnClub,
        mark=texts,
        family=families,
        length_mm=maybe() | st.floats(401, 1599) | st.integers(150, 400).map(lambda e: e * 25.4 / 8),
        lie_deg=maybe() | st.floats(41, 89),
        butt_upper_mm=maybe() | st.floats(9, 29),
        upper_station_mm=st.just(50.8) | st.floats(11, 599),
        grip_style=st.sampled_from(["usual", "cross-handed", "split", "lead hand only", "trail hand only"]),
        glove=maybe() | st.sampled_from(["none", "lead", "trail", "both"]),
        grip=maybe() | texts,
        grip_shape=st.sampled_from([None, "round", "not round"]),
        lean_deg=maybe() | st.floats(-44, 44),
        cap_height_mm=maybe() | st.floats(301, 1599),
        ball_from_toe_line_mm=maybe() | st.floats(-99, 1499),
        counterweight_g=maybe() | st.floats(1, 299),
    ),
    max_size=3,
    unique_by=lambda c: c.mark,
).map(tuple)
balls = st.lists(
    st.builds(
        BallPlace,
        family=families,
        inside_lead_heel_mm=st.lists(st.floats(-299, 699), max_size=3).map(tuple),
        from_toe_line_mm=st.lists(st.floats(-99, 1499), max_size=3).map(tuple),
    ),
    max_size=3,
    unique_by=lambda b: b.family,
).map(tuple)
placements = st.builds(
    Placement,
    recording=file_names,
    layout=maybe() | file_names,
    footwear=st.sampled_from(["barefoot", "golf shoes"]),
    stance=st.sampled_from(["as arrived", "fitted"]),
    family=maybe() | families,
)
hip_trials = st.lists(
    st.builds(
        HipLineTrial,
        trial=st.integers(1, 200),
        width_mm=st.floats(51, 1499),
        hip_line_deg=angles,
        heel_line_deg=maybe() | angles,
        family=maybe() | families,
        phase=st.sampled_from(["before", "rested", "after"]),
        confirms=st.booleans(),
        footwear=maybe() | st.sampled_from(["barefoot", "golf shoes"]),
        hands=maybe() | st.sampled_from(["hanging", "on the club"]),
        toe_out_deg=maybe() | st.floats(-30, 60),
        ball_mm=maybe() | st.floats(-299, 699),
    ),
    max_size=5,
    unique_by=lambda t: t.trial,
).map(lambda found: tuple(sorted(found, key=lambda t: t.trial)))
hip_lines = st.builds(
    HipLineCheck,
    landmark=texts,
    trials=hip_trials,
    hands=st.sampled_from(["hanging", "on the club"]),
    bar_error_deg=st.floats(0, 20),
    allowed_mm=st.lists(st.floats(51, 1499), max_size=3).map(tuple),
    turn_at_least_deg=maybe() | st.floats(1, 150),
    turn_toward=st.sampled_from(["lead", "trail"]),
)
postures = st.builds(PostureReading, family=families, trunk_deg=maybe() | st.floats(-19, 99))
spots = st.dictionaries(
    st.sampled_from(SIDE_POINTS), st.tuples(st.floats(-200, 9000), st.floats(-200, 9000)), max_size=3
)
posture_views = st.builds(
    PostureView,
    view=texts,
    family=families,
    side=st.sampled_from(["left", "right"]),
    repeat=st.integers(1, 9),
    photo=maybe() | file_names,
    length_mm=maybe() | st.floats(11, 9000),
    length_error_mm=st.floats(0, 99),
    found=spots,
    placed=spots,
)
turns = st.builds(
    TurnReading,
    toward=st.sampled_from(["lead", "trail"]),
    turn_deg=st.floats(0, 180),
    stopped_by_pain=st.booleans(),
    part=st.sampled_from(["trunk", "pelvis"]),
    width_mm=maybe() | st.floats(51, 1499),
    trunk_deg=maybe() | st.floats(-19, 99),
    knee_flex_deg=maybe() | st.floats(-19, 119),
)
grips = st.builds(
    GripCheck,
    glove=st.booleans(),
    trials=st.lists(
        st.builds(
            GripTrial,
            pair=st.integers(1, 99),
            club=texts,
            grip=st.sampled_from(["own", "proposed"]),
            hip_line_deg=angles,
            hand=st.sampled_from(["both", "lead", "trail"]),
            knee_flex_lead_deg=maybe() | st.floats(-19, 119),
            knee_flex_trail_deg=maybe() | st.floats(-19, 119),
            glove=maybe() | st.booleans(),
        ),
        max_size=4,
    ).map(tuple),
)
face_angles = st.floats(-44, 44)
aim_readings = st.one_of(
    st.builds(AimTrial, trial=st.integers(1, 99), offset_mm=st.floats(-2999, 2999), condition=texts),
    st.builds(AimTrial, trial=st.integers(1, 99), dot_mm=st.floats(-2999, 2999), condition=texts),
    st.builds(AimTrial, trial=st.integers(1, 99), face_deg=face_angles, condition=texts),
)
full_swings = st.builds(
    FullSwingAim,
    trial=st.integers(1, 99),
    club=texts,
    target_m=st.floats(11, 399),
    face_deg=face_angles,
)
aims = st.builds(
    AimCheck,
    distance_m=st.floats(0.31, 29),
    trials=st.lists(
        aim_readings,
        max_size=4,
        unique_by=lambda t: t.trial,
    ).map(tuple),
    way=st.sampled_from(["board", "string", "laser dot", "face angle"]),
    read_at_m=maybe() | st.floats(0.31, 29),
    dot_at_m=maybe() | st.floats(0.31, 29),
    past_m=maybe() | st.floats(0, 3),
    green_m=maybe() | st.floats(0.5, 8),
    hole_mm=maybe() | st.floats(41, 399),
    face_share=maybe() | st.floats(0.5, 1),
    eyes=st.lists(
        st.builds(EyeLine, offset_mm=st.floats(-499, 499), direction_deg=maybe() | face_angles), max_size=2
    ).map(tuple),
    full_swing=st.lists(full_swings, max_size=3, unique_by=lambda t: (t.club, t.trial)).map(tuple),
)
runs = st.builds(
    RoutineRun,
    run=st.integers(1, 50),
    outcome=st.sampled_from(["done", "ended early"]),
    version=st.sampled_from(["usual", "easier", "seated"]),
    routine=texts,
    seconds=maybe() | st.floats(0, 999),
    clock=st.sampled_from([None, "09:05", "23:59"]),
)
aheads = st.floats(-299, 599)
typed_pairs = st.builds(
    HeldLoadPair,
    pair=st.integers(1, 50),
    load_kg=st.floats(0.1, 10),
    load_ahead_mm=st.floats(-199, 999),
    load_ahead_se_mm=maybe() | st.floats(0.1, 199),
    without_mm=aheads,
    with_mm=aheads,
)
recorded_pairs = st.builds(
    HeldLoadPair,
    pair=st.integers(1, 50),
    load_kg=st.floats(0.1, 10),
    load_ahead_mm=st.floats(-199, 999),
    without_recording=file_names,
    with_recording=file_names,
)
practices = st.integers(1, 99).flatmap(
    lambda rolled: st.builds(
        AimPractice,
        entry=st.integers(1, 500),
        day=st.dates(min_value=date(1990, 1, 1)),
        distance_m=st.floats(0.2, 10),
        gate_mm=st.floats(43, 399),
        rolled=st.just(rolled),
        passed=st.integers(0, rolled),
    )
)
visits = st.builds(
    Visit,
    visit=texts,
    day=st.dates(min_value=date(1990, 1, 1)),
    player=players,
    screening=st.sampled_from([None, "cleared", "measuring only"]),
    teacher=st.text(st.characters(codec="utf-8"), max_size=10),
    shoes=maybe() | shoes,
    as_arrived=as_arrived,
    body=maybe() | bodies,
    hands=hands,
    own_clubs=clubs,
    ball=balls,
    ground=st.lists(placements, max_size=3).map(tuple),
    hip_line=maybe() | hip_lines,
    posture=st.lists(postures, max_size=2).map(tuple),
    posture_views=st.lists(posture_views, max_size=2, unique_by=lambda v: v.view).map(tuple),
    turn=st.lists(turns, max_size=2).map(tuple),
    grip=maybe() | grips,
    aim=maybe() | aims,
    routine=st.lists(runs, max_size=2, unique_by=lambda r: r.run).map(
        lambda found: tuple(sorted(found, key=lambda r: r.run))
    ),
    held_load=st.lists(typed_pairs | recorded_pairs, max_size=2, unique_by=lambda p: p.pair).map(
        lambda found: tuple(sorted(found, key=lambda p: p.pair))
    ),
    practice=st.lists(practices, max_size=2, unique_by=lambda p: p.entry).map(
        lambda found: tuple(sorted(found, key=lambda p: p.entry))
    ),
    cue_choice=maybe()
    | st.builds(CueChoice, cues=st.lists(texts, max_size=3).map(tuple), home_check=maybe() | texts),
    skipped=st.dictionaries(st.sampled_from(CHECKS), texts, max_size=3),
)
"""Visits that `visit.toml` has a place for, every number inside its range."""

moments = st.datetimes(datetime(2020, 1, 1), datetime(2040, 1, 1), timezones=st.just(UTC))
flipped_bars = st.builds(
    InstrumentCheck,
    step=st.just("flipped bar"),
    at=moments,
    passed=st.booleans(),
    why=texts,
    figures=st.builds(
        FlippedBar,
        normal_deg=st.lists(st.floats(-40, 40), min_size=1, max_size=3).map(tuple),
        flipped_deg=st.lists(st.floats(-40, 40), min_size=1, max_size=3).map(tuple),
    ),
)
by_hand = st.builds(InstrumentCheck, step=st.just("by hand"), at=moments, passed=st.booleans(), why=texts)
instruments = st.builds(
    Instrument, name=texts, kind=texts, checks=st.lists(flipped_bars | by_hand, max_size=3).map(tuple)
)
spread = maybe() | st.floats(0.01, 49)
studios = st.builds(
    StudioSnapshot,
    settings=st.builds(
        StudioSettings,
        name=texts,
        units=st.sampled_from(["metric", "inch quarters", "inch eighths"]),
        paper=st.sampled_from(["a4", "us-letter"]),
        margin_deg=st.floats(0.1, 10),
        order_families=st.booleans(),
        valid_weeks=st.integers(1, 52),
        putt_past_m=st.floats(0, 2),
        instrument_days=st.integers(1, 365),
        cues=st.sampled_from([None, usual_cues()]),
    ),
    errors=st.builds(StudioErrors, hip_line_deg=spread, posture_deg=spread, width_mm=spread),
    stock=maybe() | file_names,
    mat_thickness_mm=maybe() | st.floats(0, 99),
    grip_model=maybe()
    | st.builds(
        StudioGripModel,
        at_reference_mm=st.floats(13, 59),
        hand_slope=st.floats(-0.4, 0.4),
        finger_slope=st.floats(-0.4, 0.4),
        taper_mm=st.floats(-4, 9),
        se_mm=st.floats(0.1, 9),
        hands=st.integers(1, 999),
        players=st.integers(1, 999),
    ),
    instruments=st.lists(instruments, max_size=2).map(tuple),
    routine=st.sampled_from([None, usual_routine()]),
)
"""Studio snapshots that `studio.toml` has a place for."""
