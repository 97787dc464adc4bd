"""Who works here: taking somebody in, changing what they may do, a link for a new password."""

from evenground.errors import StudioError
from evenground.records.audit import note
from evenground.records.models import Person, Role
from evenground.studio.links import make_link
from evenground.studio.models import DeskSession, LinkPurpose, PairedDevice

__all__ = ["LastOwnerError", "change", "password_link", "take_in"]

LINK_MINUTES = 24 * 60


class LastOwnerError(StudioError):
    """The only owner was to be switched off or given a smaller role."""

    do = "Make somebody else an owner first."

    def __init__(self) -> None:
        super().__init__()
        self.what = "A studio needs at least one owner who can sign in."


def take_in(sign_in: str, name: str, role: Role, *, by: Person | None) -> Person:
    """Somebody new, who sets a password by a one-time link."""
    row = Person.objects.create_person(sign_in, None, name=name, role=role)
    note(by, "made", what="person", object_id=str(row.pk), detail={"role": row.role})
    return row


def password_link(somebody: Person, *, by: Person | None) -> str:
    """The secret of a link that lets somebody set a password, once and within a day."""
    token = make_link(LinkPurpose.SET_PASSWORD, person=somebody, minutes=LINK_MINUTES)
    note(by, "made a link", what="person", object_id=str(somebody.pk))
    return token


def change(somebody: Person, *, role: Role, active: bool, by: Person | None) -> None:
    """Give somebody another role, or switch them off or on; nobody is deleted: `by` keeps its meaning.

    Raises
    ------
    LastOwnerError
        When nobody would own the studio any more.
    """
    others = Person.objects.filter(role=Role.OWNER, is_active=True).exclude(pk=somebody.pk)
    if not (active and role == Role.OWNER) and somebody.role == Role.OWNER and not others.exists():
        raise LastOwnerError
    somebody.role, somebody.is_active = role, active
    somebody.save(update_fields=["role", "is_active"])
    if not active:
        DeskSession.objects.filter(person=somebody).delete()
        PairedDevice.objects.filter(person=somebody).delete()
    detail = {"role": role.value, "active": active}
    note(by, "changed", what="person", object_id=str(somebody.pk), detail=detail)
