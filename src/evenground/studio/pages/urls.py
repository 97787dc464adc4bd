"""The addresses of a visit."""

from django.urls import path

from evenground.studio.pages import asides, looking, mat, points, routine, scales_entry, sending, visit

__all__ = ["app_name", "urlpatterns"]

app_name = "visit"

urlpatterns = [
    path("send/field/", sending.field, name="send-field"),
    path("send/trial/", sending.trial, name="send-trial"),
    path("send/table/", sending.table, name="send-table"),
    path("send/recording/", sending.recording, name="send-recording"),
    path("send/hand-photo/", sending.hand_photo, name="send-hand-photo"),
    path("send/bar-photo/<slug:use>/", sending.bar_photo, name="send-bar-photo"),
    path("send/side-photo/", sending.side_photo, name="send-side-photo"),
    path("send/point/", points.move, name="send-point"),
    path("points/<str:view>/", points.points, name="points"),
    path("points/<str:view>/picture.jpg", points.picture, name="points-picture"),
    path("send/look/", looking.look, name="send-look"),
    path("send/scales/", scales_entry.scales, name="send-scales"),
    path("send/skip/", sending.skip, name="send-skip"),
    path("send/take-back/", sending.takeback, name="send-take-back"),
    path("mat/stream/", mat.stream, name="mat-stream"),
    path("mat/record/", mat.record, name="mat-record"),
    path("mat/stop/", mat.stop, name="mat-stop"),
    path("mat/keep/", mat.keep, name="mat-keep"),
    path("mat/discard/", mat.discard, name="mat-discard"),
    path("mat/choose/", mat.choose, name="mat-choose"),
    path("held-load/", asides.held_load, name="held-load"),
    path("practice/", asides.practice, name="practice"),
    path("practice.pdf", asides.practice_sheet, name="practice-sheet"),
    path("routine/", routine.routine, name="routine"),
    path("routine.pdf", routine.routine_pdf, name="routine-pdf"),
    path("history/", visit.history, name="history"),
    path("<slug:slug>/", visit.check, name="check"),
    path("<slug:slug>/news/", visit.news, name="news"),
]
