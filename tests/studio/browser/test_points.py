"""Points on photos in a browser: by mouse, by touch, by keys; numbers answer, and both places are kept."""

import re
from uuid import UUID

import pytest
from playwright.sync_api import Locator, Page, expect

from evenground.records.merge import Merged
from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live
from tests.studio.browser.photos import hand_photo, side_photo

TIP = "middle tip"


def mark(page: Page, point: str) -> Locator:
    return page.locator(f'.point[data-point="{point}"]')


def middle(page: Page, point: str) -> tuple[float, float]:
    box = mark(page, point).locator(".dot").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2.0, box["y"] + box["height"] / 2.0


def figure(page: Page, what: str) -> str:
    row = page.locator("#points-numbers dl > div", has_text=re.compile(f"^{what}"))
    return row.locator("dd").inner_text()


def moved(log: Merged, kind: str, point: str) -> list[tuple[float, float] | None]:
    """Every place that a point was put to, None where it was taken back."""
    ids = {e.id for e in log.entries if e.kind == kind and e.payload.get("point") == point}
    said = [e for e in log.entries if e.id in ids or e.supersedes in ids]
    return [None if e.void_reason else (e.payload["x_px"], e.payload["y_px"]) for e in said]


@pytest.fixture(scope="module")
def visit(live: Live) -> UUID:
    return live.visit("Juno Fairweather")


def test_a_hands_point_moves_by_mouse_and_keys_and_back_and_both_places_stay(
    live: Live, at: Opened, visit: UUID
) -> None:
    view = live.records(lambda: hand_photo(visit))
    page = at(visit, f"points/{view}", viewport={"width": 1280, "height": 900})
    found, before = mark(page, TIP).get_attribute("data-found"), figure(page, "hand length")
    x, y = middle(page, TIP)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y - 30, steps=3)
    expect(page.locator(".points-loupe")).to_be_visible()
    page.mouse.up()
    expect(page.locator("#points-numbers")).not_to_contain_text(before)
    expect(page.locator("#saved")).to_have_text("saved")
    assert float(figure(page, "hand length").split()[0]) > float(before.split()[0])
    dragged = mark(page, TIP).get_attribute("transform")
    mark(page, TIP).press("Shift+ArrowDown")
    mark(page, TIP).press("ArrowLeft")
    page.locator("[data-do=undo]").click()  # both keys were one move
    expect(mark(page, TIP)).to_have_attribute("transform", str(dragged))
    page.keyboard.press("Control+z")
    expect(page.locator("#points-numbers")).to_contain_text(before)
    page.locator("[data-do=redo]").click()
    expect(mark(page, TIP)).to_have_attribute("transform", str(dragged))
    expect(page.locator("#saved")).to_have_text("saved")
    page.reload()
    expect(mark(page, TIP)).to_have_attribute("transform", str(dragged))
    assert mark(page, TIP).get_attribute("data-found") == found
    log = live.log(visit)
    places = moved(log, "hand point", TIP)
    assert places[0] is not None
    assert places == [places[0], (places[0][0] - 1.0, places[0][1] + 10.0), places[0], None, places[0]]
    photo = log.slot("hand photo", {"view": view})
    assert photo is not None
    assert [float(v) for v in str(found).split(",")] == list(photo.values["found"][TIP])


def test_a_side_views_points_are_placed_by_touch_and_the_angles_follow(
    live: Live, at: Opened, visit: UUID
) -> None:
    view, where = live.records(lambda: side_photo(visit, placed=False))
    page = at(visit, f"points/{view}", viewport={"width": 820, "height": 1180}, has_touch=True)
    expect(page.locator("#points-numbers")).to_contain_text("not marked")
    for _ in range(len(page.locator(".point").all())):
        asked = page.locator(".point.is-held").get_attribute("data-point")
        if asked not in where:  # the figure has no eye, ear or ball: their marks wait on
            break
        page.touchscreen.tap(*_on_screen(page, where[asked]))
        expect(mark(page, asked)).to_have_class(re.compile("is-placed"))
    expect(mark(page, "vertex")).to_have_class(re.compile("is-placed"))
    before = middle(page, "vertex")
    fingers(page, [[(before[0], before[1])], [(before[0] + 20.0, before[1] + 40.0)]])
    after = middle(page, "vertex")
    assert (after[0] - before[0], after[1] - before[1]) == pytest.approx((20.0, 40.0), abs=1.5)  # px
    expect(page.locator("#saved")).to_have_text("saved")
    spread = [[(400.0 - d, 600.0), (400.0 + d, 600.0)] for d in (40.0, 80.0)]
    fingers(page, spread)
    nearer = str(page.locator(".points-photo").get_attribute("viewBox")).split()
    assert float(nearer[2]) == pytest.approx(750.0, abs=40.0)  # twice as near: half of the photo's 1500
    assert len(moved(live.log(visit), "side point", "vertex")) == 2  # spreading two fingers moves no point


def fingers(page: Page, path: list[list[tuple[float, float]]]) -> None:
    """Put fingers down, move them along a path in steps, and lift them."""
    touch = page.context.new_cdp_session(page)
    for kind, at in zip(("touchStart", *["touchMove"] * (len(path) - 1)), path, strict=True):
        places = [{"x": x, "y": y, "id": n} for n, (x, y) in enumerate(at)]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": places})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    touch.detach()


def _on_screen(page: Page, spot: tuple[float, float]) -> tuple[float, float]:
    x, y = page.locator(".points-photo").evaluate(
        """(photo, [x, y]) => {
          const p = new DOMPoint(x, y).matrixTransform(photo.getScreenCTM());
          return [p.x, p.y];
        }""",
        list(spot),
    )
    return float(x), float(y)
