"""A wire between a browser and the studio that can be cut and mended, while both live on."""

import contextlib
import socket
import threading

__all__ = ["Wire"]


class Wire:
    """Passes bytes on between a port of its own and the studio's, until it is cut."""

    def __init__(self, port: int) -> None:
        self._to = port
        self._ends: set[socket.socket] = set()
        self._whole = True
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.address = f"http://127.0.0.1:{self._listening.getsockname()[1]}"
        self._threads = [threading.Thread(target=self._take, daemon=True)]
        self._threads[0].start()

    def cut(self) -> None:
        """Drop every connection, and refuse new ones."""
        self._whole = False
        for end in list(self._ends):
            with contextlib.suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)

    def mend(self) -> None:
        self._whole = True

    def close(self) -> None:
        self._listening.shutdown(socket.SHUT_RDWR)
        self._listening.close()
        self.cut()
        for thread in self._threads:
            thread.join()

    def _take(self) -> None:
        with contextlib.suppress(OSError):
            while True:
                here, _ = self._listening.accept()
                if not self._whole:
                    here.close()
                    continue
                there = socket.create_connection(("127.0.0.1", self._to))
                self._ends |= {here, there}
                for pair in ((here, there), (there, here)):
                    thread = threading.Thread(target=self._pass_on, args=pair, daemon=True)
                    self._threads.append(thread)
                    thread.start()

    def _pass_on(self, one: socket.socket, other: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while piece := one.recv(65536):
                other.sendall(piece)
        for end in (one, other):
            with contextlib.suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
        one.close()
        self._ends.discard(one)
