"""How often something may be tried: counted before any password is hashed, since one check takes 100 MiB."""

import threading
import time
from collections import OrderedDict, deque
from collections.abc import Callable

from evenground.errors import StudioError

__all__ = ["Throttle", "TooManyTriesError"]

_MOST_KEYS = 10_000


class TooManyTriesError(StudioError):
    """Somebody tries too often in too short a time."""

    def __init__(self, wait_s: int) -> None:
        super().__init__(wait_s)
        self.what = "That was tried too often in a short time."
        self.do = f"Wait {wait_s} seconds, then try again."


class Throttle:
    """At most `most` tries of a key within `window_s`; the clock comes in so that tests need not wait."""

    def __init__(self, most: int, window_s: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._most, self._window_s, self._clock = most, window_s, clock
        self._tries: OrderedDict[str, deque[float]] = OrderedDict()
        self._lock = threading.Lock()

    def count(self, key: str) -> None:
        """Count one try.

        Raises
        ------
        TooManyTriesError
            When the key has used up its tries; this one is not counted then.
        """
        now = self._clock()
        with self._lock:
            tries = self._tries.setdefault(key, deque())
            self._tries.move_to_end(key)
            while tries and tries[0] <= now - self._window_s:
                tries.popleft()
            if len(tries) >= self._most:
                raise TooManyTriesError(max(1, round(tries[0] + self._window_s - now)))
            tries.append(now)
            while len(self._tries) > _MOST_KEYS:  # an attacker's many names must not fill the memory
                self._tries.popitem(last=False)

    def give_back(self, key: str) -> None:
        """Take back the last try of a key, for a try that was right."""
        with self._lock:
            tries = self._tries.get(key)
            if tries:
                tries.pop()

    def forget(self) -> None:
        """Start anew."""
        with self._lock:
            self._tries.clear()
