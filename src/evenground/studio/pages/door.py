"""The way in: signing in and out, one-time links, pairing a device, locking, how it looks, the type."""

from django import forms
from django.conf import settings
from django.contrib.auth import logout, password_validation
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from evenground.errors import StudioError
from evenground.records.audit import note
from evenground.records.models import Person, Role
from evenground.studio.access import person_of
from evenground.studio.context import LOOK_COOKIE, LOOKS
from evenground.studio.fonts import FONTS, font_file
from evenground.studio.forms import SheetForm
from evenground.studio.links import first_owner_wanted, open_link, use_link
from evenground.studio.models import LinkPurpose, OneTimeLink
from evenground.studio.pages.problems import status_of
from evenground.studio.pairing import DEVICE_COOKIE, pair
from evenground.studio.signin import address_of, browser_of, check_password, open_session

__all__ = ["font", "link", "lock", "look", "pair_device", "sign_in", "sign_out", "unlock"]

DEVICE_DAYS = 30


class SignInForm(SheetForm):
    """Name and password."""

    username = forms.CharField(
        label="Name you sign in with",
        max_length=150,
        widget=forms.TextInput(
            attrs={"autocomplete": "username", "autofocus": True, "autocapitalize": "none"}
        ),
    )
    password = forms.CharField(
        label="Password",
        max_length=1000,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class UnlockForm(SheetForm):
    """The password again."""

    password = forms.CharField(
        label="Password",
        max_length=1000,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password", "autofocus": True}),
    )


class PasswordForm(SheetForm):
    """A new password, typed once and shown on request by the browser."""

    password = forms.CharField(
        label="New password",
        help_text="At least 10 signs. A sentence is easier to keep than a riddle.",
        max_length=1000,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean_password(self) -> str:
        """Hold the password to the house's rules."""
        password: str = self.cleaned_data["password"]
        password_validation.validate_password(password)
        return password


class OwnerForm(PasswordForm):
    """The first owner."""

    name = forms.CharField(
        label="Your name",
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name", "autofocus": True}),
    )
    sign_in = forms.CharField(
        label="Name you sign in with",
        max_length=150,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
    )
    field_order = ("name", "sign_in", "password")

    def clean_sign_in(self) -> str:
        """One name, one person."""
        name = str(self.cleaned_data["sign_in"]).strip().casefold()
        if Person.objects.filter(sign_in=name).exists():
            msg = "Somebody signs in with this name already. Choose another one."
            raise ValidationError(msg)
        return name


class PairForm(SheetForm):
    """The code that the laptop shows."""

    code = forms.CharField(
        label="Code on the laptop",
        max_length=20,
        widget=forms.TextInput(
            attrs={"autocomplete": "one-time-code", "autocapitalize": "characters", "class": "figure"}
        ),
    )
    name = forms.CharField(
        label="What to call this device",
        max_length=80,
        required=False,
        help_text="Such as: tablet at the mat.",
    )


def _back(request: HttpRequest) -> str:
    """Where to go on afterwards: only to a page of this app."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    own = url_has_allowed_host_and_scheme(wanted, allowed_hosts=None) and wanted.startswith("/")
    return wanted if own else reverse("today")


def _refused(form: SheetForm, error: StudioError) -> int:
    form.add_error(None, f"{error.what} {error.do}")
    return status_of(error)


@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Sign in by name and password."""
    form, status = SignInForm(request.POST if request.method == "POST" else None), 200
    if request.method == "POST" and form.is_valid():
        try:
            person = check_password(request, form.cleaned_data["username"], form.cleaned_data["password"])
        except StudioError as exc:
            status = _refused(form, exc)
        else:
            open_session(request, person)
            return redirect(_back(request))
    facts = {"form": form, "next": _back(request), "nobody_yet": first_owner_wanted()}
    return render(request, "studio/sign-in.html", facts, status=status)


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Sign out and forget the session."""
    note(person_of(request), "signed out", what="session")
    logout(request)
    return redirect("sign-in")


@require_POST
def lock(request: HttpRequest) -> HttpResponse:
    """Ask for the password before anything else is shown."""
    request.session["locked"] = True
    return redirect(f"{reverse('unlock')}?next={_back(request)}")


@require_http_methods(["GET", "POST"])
def unlock(request: HttpRequest) -> HttpResponse:
    """Go on after the password."""
    person = person_of(request)
    if person is None or not request.session.get("locked"):
        return redirect(_back(request))
    form, status = UnlockForm(request.POST if request.method == "POST" else None), 200
    if request.method == "POST" and form.is_valid():
        try:
            check_password(request, person.sign_in, form.cleaned_data["password"])
        except StudioError as exc:
            status = _refused(form, exc)
        else:
            _awake(request, person)
            return redirect(_back(request))
    facts = {"form": form, "next": _back(request), "sleeper": person.name}
    return render(request, "studio/unlock.html", facts, status=status)


def _awake(request: HttpRequest, person: Person) -> None:
    """Wake the session under a new key."""
    request.session.cycle_key()
    request.session["locked"] = False
    request.session.pop("seen_at", None)
    note(person, "unlocked", what="session")


@require_http_methods(["GET", "POST"])
def link(request: HttpRequest, token: str) -> HttpResponse:
    """Open a one-time link: showing it uses nothing up, sending its form does."""
    opened = open_link(token)
    if opened.purpose == LinkPurpose.SIGN_IN:
        return _link_sign_in(request, opened)
    form_class = OwnerForm if opened.purpose == LinkPurpose.FIRST_OWNER else PasswordForm
    form = form_class(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        person = _link_person(opened, form)
        open_session(request, person)
        return redirect("today")
    return render(request, "studio/link.html", {"form": form, "link": opened})


def _link_sign_in(request: HttpRequest, opened: OneTimeLink) -> HttpResponse:
    if request.method == "POST" and opened.person is not None:
        use_link(opened)
        open_session(request, opened.person)
        return redirect("today")
    return render(request, "studio/link.html", {"form": None, "link": opened})


def _link_person(opened: OneTimeLink, form: PasswordForm) -> Person:
    """The person that a link makes, or whose password it sets."""
    from django.db import transaction

    with transaction.atomic():
        use_link(opened)
        if opened.person is None:
            owner = Person.objects.create_person(
                form.cleaned_data["sign_in"],
                form.cleaned_data["password"],
                name=form.cleaned_data["name"],
                role=Role.OWNER,
            )
            note(owner, "became the first owner", what="person", object_id=str(owner.pk))
            return owner
        opened.person.set_password(form.cleaned_data["password"])
        opened.person.save(update_fields=["password"])
        note(opened.person, "set a password", what="person", object_id=str(opened.person.pk))
    return opened.person


@require_http_methods(["GET", "POST"])
def pair_device(request: HttpRequest) -> HttpResponse:
    """Let this device in by the code on the laptop."""
    given = {"code": request.GET.get("code", "")}
    form, status = PairForm(request.POST if request.method == "POST" else None, initial=given), 200
    if request.method == "POST" and form.is_valid():
        called = form.cleaned_data["name"] or browser_of(request)
        try:
            device, token, most = pair(form.cleaned_data["code"], name=called, address=address_of(request))
        except StudioError as exc:
            status = _refused(form, exc)
        else:
            open_session(request, device.person, device=device, most=most)
            note(device.person, "paired", what="device", object_id=str(device.pk))
            response = redirect("today")
            response.set_cookie(
                DEVICE_COOKIE,
                token,
                max_age=DEVICE_DAYS * 24 * 3600,
                secure=settings.SESSION_COOKIE_SECURE,
                httponly=True,
                samesite="Strict",
            )
            return response
    return render(request, "studio/pair.html", {"form": form}, status=status)


@require_POST
def look(request: HttpRequest) -> HttpResponse:
    """Keep how it shall look on this device."""
    response = redirect(_back(request))
    chosen = request.POST.get("look", "")
    if chosen in LOOKS:
        response.set_cookie(LOOK_COOKIE, chosen, max_age=365 * 24 * 3600, httponly=True, samesite="Lax")
    return response


@require_GET
def font(request: HttpRequest, name: str) -> HttpResponse:
    """One of the four fonts."""
    if name not in FONTS:
        raise Http404
    response = HttpResponse(font_file(settings.HOME, name), content_type="font/woff")
    response["Cache-Control"] = "public, max-age=31536000, immutable"
    return response
