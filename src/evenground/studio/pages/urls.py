"""The addresses of a visit."""

from django.urls import path

from evenground.studio.pages import sending, visit

__all__ = ["app_name", "urlpatterns"]

app_name = "visit"

urlpatterns = [
    path("send/field/", sending.field, name="send-field"),
    path("send/trial/", sending.trial, name="send-trial"),
    path("send/table/", sending.table, name="send-table"),
    path("send/recording/", sending.recording, name="send-recording"),
    path("send/skip/", sending.skip, name="send-skip"),
    path("send/take-back/", sending.takeback, name="send-take-back"),
    path("history/", visit.history, name="history"),
    path("<slug:slug>/", visit.check, name="check"),
    path("<slug:slug>/news/", visit.news, name="news"),
]
