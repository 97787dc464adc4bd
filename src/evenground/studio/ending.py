"""The end of the app, told to answers that would go on for a while."""

from threading import Event

__all__ = ["ENDING"]

ENDING = Event()
"""Set once the app was asked to stop: whoever streams ends, so that nothing keeps the server from leaving."""
