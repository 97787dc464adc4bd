"""The hands page: sizes, and a hand that is sore."""

from tests.studio.pages.conftest import Desk


def test_a_sore_hand_is_ticked_and_comfort_outranks_its_size(desk: Desk) -> None:
    for side in ("left", "right"):
        desk.type("hand", "length_mm", "190", side=side)
        desk.type("hand", "palm_length_mm", "115", side=side)
    plain = desk.page("hands")
    assert "right hand, sore, comfort first" in plain
    assert "comfort outranks size" not in plain
    assert desk.type("hand", "sore", "yes", side="right").status_code == 200
    left, right = desk.scene.visit.hands
    assert (left.sore, right.sore) == (False, True)
    assert "A sore hand: comfort outranks size." in desk.page("hands")
    assert "A sore hand: comfort outranks size." in desk.page("grip")
