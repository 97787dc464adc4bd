"""Which address shows what; who may open each stands in `access.ACCESS`."""

from django.urls import URLPattern, URLResolver, include, path

from evenground.studio.api import api
from evenground.studio.pages import (
    cameras,
    card,
    devices,
    door,
    effects,
    files,
    instruments,
    library,
    me,
    moving,
    orders,
    people,
    players,
    school,
    studies,
    studio,
    today,
    visit,
)

handler400 = "evenground.studio.pages.problems.odd_request"
handler403 = "evenground.studio.pages.problems.no_entry"
handler404 = "evenground.studio.pages.problems.not_found"
handler500 = "evenground.studio.pages.problems.broken"

DOOR: list[URLPattern | URLResolver] = [
    path("fonts/<str:name>.woff", door.font, name="font"),
    path("look", door.look, name="look"),
    path("pair", door.pair_device, name="pair"),
    path("sign-in", door.sign_in, name="sign-in"),
    path("link/<str:token>", door.link, name="link"),
    path("sign-out", door.sign_out, name="sign-out"),
    path("lock", door.lock, name="lock"),
    path("unlock", door.unlock, name="unlock"),
]
TODAY: list[URLPattern | URLResolver] = [
    path("", today.today, name="today"),
    path("now", today.today_now, name="today-now"),
    path("players/<uuid:player_id>/start", today.visit_start, name="visit-start"),
    path("instruments/<uuid:instrument_id>/check", today.instrument_check, name="instrument-check"),
]
PLAYERS: list[URLPattern | URLResolver] = [
    path("players", players.players, name="players"),
    path("players/found", players.players_found, name="players-found"),
    path("players/new", players.player_new, name="player-new"),
    path("players.csv", players.players_csv, name="players-csv"),
    path("players/<uuid:player_id>", players.player, name="player"),
    path("players/<uuid:player_id>/edit", players.player_edit, name="player-edit"),
    path("players/<uuid:player_id>/consents", players.consent_new, name="consent-new"),
    path(
        "players/<uuid:player_id>/consents/<int:consent_id>/withdraw",
        players.consent_withdraw,
        name="consent-withdraw",
    ),
    path("files/<str:sha256>", files.file, name="file"),
]
CARDS: list[URLPattern | URLResolver] = [
    path("visits/<uuid:visit_id>/card", card.card, name="card"),
    path("visits/<uuid:visit_id>/effects", effects.effects, name="effects"),
    path("visits/<uuid:visit_id>/card/line", card.decide_line, name="card-line"),
    path("visits/<uuid:visit_id>/card/cues", library.card_cues, name="card-cues"),
    path("visits/<uuid:visit_id>/card/accept-rest", card.accept_rest, name="card-accept-rest"),
    path("visits/<uuid:visit_id>/card/sign", card.sign_now, name="card-sign"),
    path("visits/<uuid:visit_id>/card/draft/<slug:name>.pdf", card.draft_paper, name="card-draft-paper"),
    path("visits/<uuid:visit_id>/card/<int:number>", card.signed, name="card-signed"),
    path(
        "visits/<uuid:visit_id>/card/<int:number>/<slug:name>.pdf",
        card.signed_file,
        name="card-signed-paper",
    ),
]
DEVICES: list[URLPattern | URLResolver] = [
    path("visits/<uuid:visit_id>/devices", devices.tokens, name="tokens"),
    path("visits/<uuid:visit_id>/devices/<uuid:token_id>/end", devices.token_end, name="token-end"),
    path("api/", api.urls),
]
SCHOOLS: list[URLPattern | URLResolver] = [
    path("schools", school.schools, name="schools"),
    path("schools/new", school.school_new, name="school-new"),
    path("schools/<uuid:school_id>", school.school, name="school"),
    path("schools/<uuid:school_id>/at/<slug:station>", school.scan, name="school-scan"),
    path("schools/<uuid:school_id>/event", school.event, name="school-event"),
    path("schools/<uuid:school_id>/leaves", school.leaves, name="school-leaves"),
    path("schools/<uuid:school_id>/badges.pdf", school.badges, name="school-badges"),
    path("schools/<uuid:school_id>/cards.pdf", school.cards, name="school-cards"),
    path("schools/<uuid:school_id>/roster.csv", school.roster_csv, name="school-roster"),
    path("visits/<uuid:visit_id>/move/<slug:slug>", moving.moving, name="moving"),
]
VISITS: list[URLPattern | URLResolver] = [
    path("visits/<uuid:visit_id>/", visit.visit, name="visit"),
    path("visits/<uuid:visit_id>/", include("evenground.studio.pages.urls")),
]
PERSON: list[URLPattern | URLResolver] = [
    path("me", me.me, name="me"),
    path("me/password", me.me_password, name="me-password"),
    path("sessions/<str:mark>/end", me.session_end, name="session-end"),
    path("devices/pair", me.pair_start, name="pair-start"),
    path("devices/<uuid:device_id>/end", me.device_end, name="device-end"),
]
STUDIO: list[URLPattern | URLResolver] = [
    path("studio", studio.studio, name="studio"),
    path("studio/settings", studio.settings_page, name="settings"),
    path("studio/instruments", instruments.instruments, name="instruments"),
    path("studio/instruments/<uuid:instrument_id>", instruments.instrument, name="instrument"),
    path(
        "studio/instruments/<uuid:instrument_id>/retire",
        instruments.instrument_retire,
        name="instrument-retire",
    ),
    path("studio/cameras", cameras.cameras_page, name="cameras"),
    path("studio/cameras/<uuid:instrument_id>/calibrate", cameras.recalibrate, name="camera-calibrate"),
    path("studio/cameras/<uuid:instrument_id>/choose", cameras.choose, name="camera-choose"),
    path("studio/sheets/<slug:sheet>.pdf", cameras.sheet, name="sheet"),
    path("studio/routine", library.routine, name="studio-routine"),
    path("studio/cues", library.cues, name="studio-cues"),
    path("studio/stock", studio.stock, name="stock"),
    path("studio/stock.toml", studio.stock_file, name="stock-file"),
    path("studio/orders", orders.orders, name="orders"),
    path("studio/orders/model", orders.put_model_in_use, name="order-model"),
    path("studio/orders/tape", orders.put_tape_in_use, name="order-tape"),
    path("studio/orders/<uuid:order_id>", orders.order, name="order"),
    path("studio/orders/<uuid:order_id>/step", orders.order_step, name="order-step"),
    path("visits/<uuid:visit_id>/card/<int:number>/order", orders.order_new, name="order-new"),
    path("studio/studies", studies.studies, name="studies"),
    path("studio/studies/<uuid:study_id>", studies.study, name="study"),
    path("studio/studies/<uuid:study_id>/use", studies.study_use, name="study-use"),
    path("studio/people", people.people, name="people"),
    path("studio/people/<uuid:person_id>", people.person_change, name="person-change"),
    path("studio/people/<uuid:person_id>/link", people.person_link, name="person-link"),
    path("studio/sessions", people.sessions, name="sessions"),
    path("studio/audit", people.audit, name="audit"),
    path("studio/audit.csv", people.audit_csv, name="audit-csv"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    *DOOR,
    *TODAY,
    *PLAYERS,
    *CARDS,
    *DEVICES,
    *SCHOOLS,
    *VISITS,
    *PERSON,
    *STUDIO,
]
