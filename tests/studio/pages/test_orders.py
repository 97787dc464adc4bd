"""Orders: from a signed card to the workshop and back, each step kept, and the tape that they teach."""

import json
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.conf import settings as django_settings
from django.db import IntegrityError
from django.test import Client
from pytest_django import DjangoDbBlocker, Settings

from evenground.capture.fields import read_toml
from evenground.capture.stock import load_stock
from evenground.capture.visit_file import VisitFile, visit_from
from evenground.example import example_bundle
from evenground.fit.grip_measured import same_outline_mm
from evenground.records.blobs import open_blob
from evenground.records.models import AuditEntry, Order, OrderEvent, Role, Visit
from evenground.records.orders import (
    OrderMovedOnError,
    add_step,
    clubs_of,
    confirmed_fits,
    order_of,
    tape_in_use,
)
from evenground.records.privacy import erase_player, export_player
from evenground.records.visits import current_snapshot, studio_file
from evenground.studio.stock_room import stock_in_use, take_stock
from evenground.studio.working import WORKBENCH
from tests.fit.test_grip_model import players
from tests.records.conftest import database, sqlite
from tests.studio.pages.test_card import Bench, bench, measured, signed_in  # noqa: F401 - fixtures

STOCK = (example_bundle() / "stock.toml").read_bytes()


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """A teacher at the page of one order."""

    client: Client
    order: Order

    @property
    def at(self) -> str:
        return f"/studio/orders/{self.order.pk}"

    @property
    def page(self) -> str:
        answer = self.client.get(self.at)
        assert answer.status_code == 200
        return str(answer.content.decode())

    def step(self, state: str, **more: str) -> Any:
        body = {"club": "putter", "state": state, "seen": str(self.order.events.count()), **more}
        return self.client.post(f"{self.at}/step", body)

    def sizes(self, off: float) -> dict[str, str]:
        line = clubs_of(order_of(self.order.pk))[0].standing.line
        return {
            "upper_1": f"{(line.ordered_mm.upper or 0) + off:.2f}",
            "lower_1": f"{(line.ordered_mm.lower or 0) + off:.2f}",
        }

    def state(self) -> str:
        return clubs_of(order_of(self.order.pk))[0].standing.state


@pytest.fixture(scope="module")
def ordered(
    measured: Path,  # noqa: F811 - a fixture
    tmp_path_factory: pytest.TempPathFactory,
    django_db_blocker: DjangoDbBlocker,
) -> Path:
    """A data folder with the example's card signed and its build ordered, copied for each test."""
    folder = tmp_path_factory.mktemp("ordered")
    shutil.copytree(measured, folder, dirs_exist_ok=True)
    before, django_settings.BLOB_FOLDER = django_settings.BLOB_FOLDER, folder / "blobs"
    with django_db_blocker.unblock(), database(sqlite(folder)):
        client, teacher = signed_in(Role.TEACHER)
        at_bench = Bench(client=client, visit=Visit.objects.get(), teacher=teacher)
        take_stock(STOCK, "stock.toml", teacher)
        at_bench.accept_rest()
        assert at_bench.sign().status_code == 302
        assert client.post(f"{at_bench.at}/1/order", {"id": str(uuid4())}).status_code == 302
        WORKBENCH.close()
    django_settings.BLOB_FOLDER = before
    return folder


@pytest.fixture
def shop(
    ordered: Path, tmp_path: Path, settings: Settings, django_db_blocker: DjangoDbBlocker
) -> Iterator[Shop]:
    shutil.copytree(ordered, tmp_path, dirs_exist_ok=True)
    settings.BLOB_FOLDER = tmp_path / "blobs"
    with django_db_blocker.unblock(), database(sqlite(tmp_path)):
        client, _ = signed_in(Role.TEACHER)
        yield Shop(client=client, order=Order.objects.get())


def test_a_signed_card_orders_its_build_once(shop: Shop) -> None:
    at = f"/visits/{shop.order.card.visit_id}/card/1"
    page = shop.client.get(at).content.decode()
    found = re.search(r'name="id" value="([0-9a-f-]{36})"', page)
    assert found is not None
    assert f"/studio/orders/{shop.order.pk}" in page  # the one that was placed already
    for _ in range(2):  # the same press sent twice
        shop.client.post(f"{at}/order", {"id": found.group(1)})
    assert set(Order.objects.values_list("pk", flat=True)) == {shop.order.pk, UUID(found.group(1))}
    assert OrderEvent.objects.count() == 2
    assert AuditEntry.objects.filter(action="ordered", what="build").count() == 2


def test_a_club_goes_to_the_workshop_and_is_accepted(shop: Shop) -> None:
    for state, more in (("received", {}), ("built", {}), ("measured", shop.sizes(0.1)), ("accepted", {})):
        assert shop.step(state, **more).status_code == 302
    assert shop.state() == "accepted"
    page = shop.page
    assert "As ordered, within 0.4 mm." in page
    assert page.count("R. Tall") >= 4  # who
    listed = shop.client.get("/studio/orders").content.decode()
    assert "putter: accepted" in listed
    assert listed.index("Nothing is at the workshop") < listed.index("putter: accepted")


def test_out_of_tolerance_stays_open_and_a_new_thickness_can_be_put_in_use(shop: Shop) -> None:
    shop.step("received")
    shop.step("built", upper_layers="1", lower_layers="1")
    shop.step("measured", **shop.sizes(0.6))
    assert "0.6 mm too thick under the upper hand" in shop.page
    assert "Built again with 1 / 1 layers" in shop.page
    assert "By 1 finished grip a layer of double-sided tape is" in shop.page
    refused = shop.step("accepted")
    assert refused.status_code == 422
    assert "only be accepted with a reason" in refused.content.decode()
    assert "putter: measured" in shop.client.get("/studio/orders").content.decode()
    before = tape_in_use()
    shop.client.post("/studio/orders/tape")
    after = tape_in_use()
    assert before is not None
    assert after is not None
    assert after[0].double_sided_mm > before[0].double_sided_mm
    shelf = stock_in_use()
    assert shelf is not None
    with open_blob(shelf.blob_id) as stream:
        assert b"# Invented grips." in stream.read()  # the list stays as it was typed
    assert shelf.items.count() == len(load_stock(example_bundle() / "stock.toml").grips)
    assert (
        "There is no new thickness" in shop.client.post("/studio/orders/tape", follow=True).content.decode()
    )
    assert shop.step("back", reason="too thick").status_code == 302
    assert shop.state() == "back"


def test_what_was_typed_stays_when_it_cannot_be_kept(shop: Shop) -> None:
    shop.step("received")
    shop.step("built")
    answer = shop.step("measured", upper_1="23.7", lower_1="wide")
    assert answer.status_code == 422
    said = answer.content.decode()
    assert 'value="23.7"' in said
    assert 'value="wide"' in said
    assert 'role="alert"' in said
    assert shop.state() == "built"


@pytest.mark.parametrize(
    ("state", "more", "said"),
    [
        ("accepted", {}, "It is ordered and cannot be accepted now."),
        ("lost", {}, "is not one of the choices"),
        ("received", {"club": "spoon"}, "There is no such order."),
        ("received", {"upper_layers": "-1", "lower_layers": "2"}, "-1 layers under the upper hand"),
    ],
)
def test_a_step_that_cannot_be_changes_nothing(
    state: str, more: dict[str, str], said: str, shop: Shop
) -> None:
    answer = shop.step(state, **more)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert shop.order.events.count() == 1


def test_a_step_from_an_old_page_or_sent_twice_is_refused(shop: Shop) -> None:
    shop.step("received")
    again = shop.step("received", seen="1")
    assert again.status_code == 422
    assert "Somebody else added a step" in again.content.decode()
    with pytest.raises(OrderMovedOnError):
        add_step(shop.order.pk, {"club": "putter", "state": "built"}, None, seen=1)
    assert shop.order.events.count() == 2


def test_the_database_itself_refuses_to_change_an_order_or_a_step(shop: Shop) -> None:
    with pytest.raises(IntegrityError, match="never changed"):
        OrderEvent.objects.update(state="accepted")
    with pytest.raises(IntegrityError, match="never changed"):
        Order.objects.update(lines=[])


def test_sizes_may_be_typed_with_their_unit(shop: Shop) -> None:
    shop.step("received")
    shop.step("built")
    assert shop.step("measured", upper_1="0.920 in", upper_2="23.4", lower_1="0.847 in").status_code == 302
    step = clubs_of(order_of(shop.order.pk))[0].standing.steps[-1]
    assert step.upper_mm == pytest.approx((23.368, 23.4))
    assert shop.step("measured", upper_1="24.4 x 22.4", lower_1="21.5").status_code == 302
    step = clubs_of(order_of(shop.order.pk))[0].standing.steps[-1]
    assert step.upper_mm == pytest.approx((same_outline_mm(24.4, 22.4),))


def test_a_card_whose_grips_stay_has_no_order_button(bench: Bench) -> None:  # noqa: F811 - a fixture
    club = next(c for c in bench.visit.readings.filter(kind="own club") if c.payload.get("mark") == "putter")
    bench.reading("own club", club=club.payload["club"], grip_upper_mm=22.4, grip_lower_mm=20.5)
    bench.accept_rest()
    bench.sign()
    assert "Order its build" not in bench.client.get(f"{bench.at}/1").content.decode()
    answer = bench.client.post(f"{bench.at}/1/order", {"id": str(uuid4())}, follow=True)
    assert "This card orders no build." in answer.content.decode()


def test_an_assistant_sees_no_orders(shop: Shop) -> None:
    client, _ = signed_in(Role.ASSISTANT)
    assert client.get(shop.at).status_code == 403


def all_the_way(shop: Shop, off: float, **accepted: str) -> None:
    shop.step("received")
    shop.step("built")
    shop.step("measured", **shop.sizes(off))
    assert shop.step("accepted", **accepted).status_code == 302


def test_a_grip_that_the_player_keeps_counts_for_the_studio_s_own_model(shop: Shop) -> None:
    all_the_way(shop, 0.1, kept="yes")
    upper, lower = confirmed_fits()
    line = clubs_of(order_of(shop.order.pk))[0].standing.line
    assert upper.diameter_mm == pytest.approx((line.ordered_mm.upper or 0) + 0.1, abs=0.01)
    assert lower.diameter_mm == pytest.approx((line.ordered_mm.lower or 0) + 0.1, abs=0.01)
    # A right-handed player holds the club with the left hand uppermost.
    visit = visit_from(
        read_toml(str(shop.order.card.findings["visit.toml"]).encode(), VisitFile, file="visit.toml")
    )
    left = next(h for h in visit.hands if h.side == "left")
    assert visit.player.handed == "right"
    assert (upper.hand, upper.length_mm) == ("upper", left.length_mm)
    said = shop.client.get("/studio/orders").content.decode()
    assert "2 sizes under a hand were kept by players so far" in said
    assert "at least 12 hands of 8 players are needed" in said
    assert "the player keeps it" in shop.page


def test_a_grip_that_was_only_accepted_does_not_count(shop: Shop) -> None:
    all_the_way(shop, 0.1)
    assert confirmed_fits() == ()


def test_the_owner_puts_the_studio_s_own_model_in_use_and_takes_it_back(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("evenground.studio.pages.orders.confirmed_fits", lambda: tuple(players(12, 0.3, 1)))
    assert shop.client.post("/studio/orders/model", {"model": "own"}).status_code == 403  # a teacher
    owner, _ = signed_in(Role.OWNER)
    owner.post("/studio/orders/model", {"model": "own"})
    model = studio_file(current_snapshot()).grip_model
    assert model is not None
    assert (model.hands, model.players) == (24, 12)
    assert "fitted to 24 hands of 12 players" in owner.get("/studio/orders").content.decode()
    owner.post("/studio/orders/model", {"model": "default"})
    assert studio_file(current_snapshot()).grip_model is None
    snapshot = current_snapshot()
    assert snapshot is not None
    assert snapshot.stock is not None  # the shelf stays in use


def test_a_player_s_export_holds_the_orders_and_erasing_the_player_erases_them(
    shop: Shop, tmp_path: Path
) -> None:
    shop.step("received")
    player = shop.order.card.visit.player_id
    export_player(player, tmp_path / "all")
    (told,) = json.loads((tmp_path / "all" / "orders.json").read_text("utf-8"))
    assert told["order"] == str(shop.order.pk)
    assert [s["state"] for s in told["steps"]] == ["ordered", "received"]
    assert told["clubs"][0]["mark"] == "putter"
    erase_player(player, by="R. Tall")
    assert (Order.objects.count(), OrderEvent.objects.count()) == (0, 0)
