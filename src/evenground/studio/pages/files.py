"""Stored files, each only to those who may see what it belongs to."""

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from evenground.records.audit import note
from evenground.records.blobs import open_blob
from evenground.records.models import Blob, CardVersion, ReadingBlob, Role, Visit, VisitState
from evenground.studio.access import person_of, role_of

__all__ = ["file", "visits_of_file"]

SHOWN = frozenset({"image/jpeg", "image/png"})
"""Only pixels that were encoded here are shown in the page; everything else is a download."""


def visits_of_file(sha256: str, role: Role | None) -> list[Visit]:
    """The visits through which a role may see a file: an assistant only those that are not closed."""
    by_reading = ReadingBlob.objects.filter(blob_id=sha256).values("reading__visit_id")
    by_card = CardVersion.objects.filter(pdf_id=sha256).values("visit_id")
    visits = Visit.objects.filter(pk__in=by_reading) | Visit.objects.filter(pk__in=by_card)
    if role not in {Role.OWNER, Role.TEACHER}:
        visits = visits.exclude(state=VisitState.CLOSED)
    return list(visits)


@require_GET
def file(request: HttpRequest, sha256: str) -> HttpResponse:
    """Give a file that a visit names; one that nothing names is not there for anybody."""
    visits = visits_of_file(sha256, role_of(request))
    blob = Blob.objects.filter(sha256=sha256, deleted_at__isnull=True).first()
    if blob is None or not visits:
        raise Http404
    note(person_of(request), "saw", what="file", object_id=sha256, player_id=visits[0].player_id)
    with open_blob(sha256) as stream:
        response = HttpResponse(stream.read(), content_type=blob.media_type)
    shown = blob.media_type in SHOWN
    response["Content-Disposition"] = f'{"inline" if shown else "attachment"}; filename="{sha256[:12]}"'
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    response["X-Content-Type-Options"] = "nosniff"
    return response
