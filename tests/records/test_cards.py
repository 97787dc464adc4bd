from uuid import uuid4

import pytest
from django.db import IntegrityError

from evenground.records.cards import CardNotFoundError, MayNotSignError, draft_card, sign_card
from evenground.records.models import (
    AuditEntry,
    CardVersion,
    OnlyAppendedError,
    Person,
    Role,
    SignedCardIsFixedError,
)
from tests.records.making import visit

LINES = [{"key": "irons", "now": "375 to 390 mm"}]


def teacher() -> Person:
    return Person.objects.create_person("tall", None, name="R. Tall", role=Role.TEACHER)


def signed() -> CardVersion:
    return sign_card(draft_card(visit().pk, LINES, {}, "ab").pk, teacher(), b"%PDF-1.7")


def test_a_draft_is_rewritten_until_it_is_signed_and_then_a_new_version_begins(records: str) -> None:
    of, by = visit(), teacher()
    first = draft_card(of.pk, LINES, {}, "ab")
    again = draft_card(of.pk, [*LINES, {"key": "woods"}], {}, "cd")
    assert (again.pk, again.number, len(again.lines)) == (first.pk, 1, 2)
    sign_card(first.pk, by, b"%PDF-1.7")
    assert draft_card(of.pk, LINES, {}, "ef").number == 2
    stored = CardVersion.objects.get(pk=first.pk)
    assert (stored.signer_name, stored.input_hash, len(stored.lines)) == ("R. Tall", "cd", 2)
    assert AuditEntry.objects.filter(action="signed", object_id=str(first.pk)).count() == 1


def test_the_program_refuses_to_change_a_signed_card(records: str) -> None:
    card = signed()
    card.lines = []
    with pytest.raises(SignedCardIsFixedError):
        card.save()
    with pytest.raises(SignedCardIsFixedError):
        card.delete()
    with pytest.raises(SignedCardIsFixedError):
        sign_card(card.pk, teacher_again(), b"%PDF-1.7 other")
    assert CardVersion.objects.get(pk=card.pk).lines == LINES


def teacher_again() -> Person:
    return Person.objects.get(sign_in="tall")


def test_the_database_refuses_to_change_a_signed_card(records: str) -> None:
    card = signed()
    with pytest.raises(IntegrityError, match="never changed"):
        CardVersion.objects.filter(pk=card.pk).update(lines=[])
    assert CardVersion.objects.get(pk=card.pk).lines == LINES


def test_an_assistant_cannot_sign(records: str) -> None:
    card = draft_card(visit().pk, LINES, {}, "ab")
    with pytest.raises(MayNotSignError):
        sign_card(card.pk, Person.objects.create_person("ida", None), b"%PDF-1.7")
    assert CardVersion.objects.get(pk=card.pk).signed_at is None


def test_only_a_card_that_is_there_can_be_signed(records: str) -> None:
    with pytest.raises(CardNotFoundError):
        sign_card(uuid4(), teacher(), b"%PDF-1.7")


def test_the_audit_only_grows(records: str) -> None:
    signed()
    noted = AuditEntry.objects.get(action="signed")
    noted.action = "nothing"
    for change in (noted.save, noted.delete):
        with pytest.raises(OnlyAppendedError):
            change()
    with pytest.raises(IntegrityError, match="never changed"):
        AuditEntry.objects.update(action="nothing")
    assert AuditEntry.objects.filter(action="signed").count() == 1


def test_people_are_found_however_their_name_is_capitalised_and_passwords_are_hashed(records: str) -> None:
    made = Person.objects.create_person(" Olga ", "a long pass phrase", role=Role.OWNER)
    found = Person.objects.get_by_natural_key("OLGA")
    assert found == made
    assert found.password.startswith("argon2$argon2id$")
    assert found.check_password("a long pass phrase")
    assert not found.check_password("a long pass phrase ")
