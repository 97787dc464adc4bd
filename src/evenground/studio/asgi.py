"""What the web server runs: Django, inside the cap on what may be sent to it."""

import os
from typing import Any

from django.core.asgi import get_asgi_application

from evenground.studio.bodies import BodyCap

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "evenground.studio.settings")

_django: Any = get_asgi_application()  # its stubs and the ASGI standard name the same shapes differently

from django.conf import settings  # noqa: E402 - after the app is set up

application = BodyCap(_django, plain_bytes=settings.MAX_BODY_BYTES, upload_bytes=settings.MAX_UPLOAD_BYTES)
