"""Django's settings, worked out from the studio's data folder; nothing here reaches beyond this machine."""

import os

from evenground.studio.home import find_home

# The data folder ------------------------------------------------------------------------------------------

HOME = find_home(os.environ)
BLOB_FOLDER = HOME.blob_folder
SECRET_KEY = HOME.secret()

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
    "evenground.records",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
]
ROOT_URLCONF = "evenground.studio.urls"
ASGI_APPLICATION = "evenground.studio.asgi.application"

# People ---------------------------------------------------------------------------------------------------

PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

# The web --------------------------------------------------------------------------------------------------

DEBUG = False
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]"]
USE_I18N = False
LANGUAGE_CODE = "en"
EMAIL_BACKEND = "django.core.mail.backends.dummy.EmailBackend"  # no mail leaves before the owner sets it up
