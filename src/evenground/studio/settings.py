"""Django's settings, worked out from the studio's data folder; nothing here reaches beyond this machine."""

import os
from datetime import timedelta

from evenground.studio.home import find_home

# The data folder ------------------------------------------------------------------------------------------

HOME = find_home(os.environ)
BLOB_FOLDER = HOME.blob_folder
SECRET_KEY = HOME.secret()
LIVE_FOLDER = HOME.folder / "live"
MATS_FROM_NETWORK = HOME.config.mats_from_network
MAT_FOLDER = HOME.path_of(HOME.config.mat_folder)
MAT_LAYOUT = HOME.path_of(HOME.config.mat_layout)

# Records --------------------------------------------------------------------------------------------------

DATABASES = {"default": HOME.database()}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTH_USER_MODEL = "records.Person"
USE_TZ = True
TIME_ZONE = "UTC"

# What the app is made of ----------------------------------------------------------------------------------

INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "axes",
    "csp",
    "evenground.records",
    "evenground.studio",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "csp.middleware.CSPMiddleware",
    "evenground.studio.middleware.PlainHeaders",
    "django.middleware.gzip.GZipMiddleware",
    "evenground.studio.middleware.LocalFiles",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "evenground.studio.middleware.Door",
    "evenground.studio.middleware.Sentences",
]
ROOT_URLCONF = "evenground.studio.urls"
ASGI_APPLICATION = "evenground.studio.asgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.messages.context_processors.messages",
                "evenground.studio.context.frame",
            ],
            "builtins": ["evenground.studio.templatetags.sheet"],
        },
    }
]
FORM_RENDERER = "evenground.studio.forms.SheetRenderer"
MESSAGE_STORAGE = "django.contrib.messages.storage.cookie.CookieStorage"
STATIC_URL = "/static/"
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False
WHITENOISE_MAX_AGE = 365 * 24 * 3600  # addresses of static files carry their digest

# People ---------------------------------------------------------------------------------------------------

PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",  # asks first whether this name is locked out: no hashing then
    "django.contrib.auth.backends.ModelBackend",
]
LOGIN_URL = "sign-in"
AXES_USERNAME_FORM_FIELD = "username"
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]  # so that nobody can lock the owner's own laptop
AXES_RESET_ON_SUCCESS = True
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_ENABLE_ADMIN = False
AXES_DISABLE_ACCESS_LOG = True  # the audit tells who signed in
AXES_VERBOSE = False
SILENCED_SYSTEM_CHECKS = ["axes.W002"]  # our own sign-in page says it; axes' middleware would answer instead

# Sessions -------------------------------------------------------------------------------------------------

LAN = os.environ.get("EVENGROUND_LAN") == "1"
LAN_ADDRESS = os.environ.get("EVENGROUND_LAN_ADDRESS", "")
LAN_FINGERPRINT = os.environ.get("EVENGROUND_LAN_FINGERPRINT", "")
SESSION_ENGINE = "evenground.studio.sessions"
SESSION_COOKIE_NAME = "evenground"
SESSION_COOKIE_AGE = 7 * 24 * 3600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = LAN
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Strict"
CSRF_COOKIE_SECURE = LAN
CSRF_FAILURE_VIEW = "evenground.studio.pages.problems.cross_site"
IDLE_LOCK_MINUTES = 20
"""Without a touch for so long the app asks for the password again (ours)."""

# The web --------------------------------------------------------------------------------------------------

DEBUG = False
ALLOWED_HOSTS = [
    "localhost",
    "127.0.0.1",
    "[::1]",
    *filter(None, os.environ.get("EVENGROUND_HOSTS", "").split()),
]
USE_I18N = False
LANGUAGE_CODE = "en"
EMAIL_BACKEND = "django.core.mail.backends.dummy.EmailBackend"  # no mail leaves before the owner sets it up
X_FRAME_OPTIONS = "DENY"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'none'"],
        "script-src": ["'self'"],
        "style-src": ["'self'"],
        "font-src": ["'self'"],
        "img-src": ["'self'", "data:"],
        "connect-src": ["'self'"],
        "form-action": ["'self'"],
        "frame-ancestors": ["'none'"],
        "base-uri": ["'none'"],
        "object-src": ["'none'"],
    }
}

# Files sent in --------------------------------------------------------------------------------------------

DATA_UPLOAD_MAX_MEMORY_SIZE = 1024**2
DATA_UPLOAD_MAX_NUMBER_FILES = 40
FILE_UPLOAD_PERMISSIONS = 0o600
MAX_BODY_BYTES = 2 * 1024**2
MAX_UPLOAD_BYTES = 256 * 1024**2
"""The largest body of any request, and of one that sends a file; counted as it streams in (ours)."""
