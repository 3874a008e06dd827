"""A line between browser and server that can be cut in the middle of whatever it carries."""

from __future__ import annotations

import contextlib
import socket
import struct
import threading


class BadLine:
    """Passes bytes between a port of its own and the server's, until it is cut."""

    def __init__(self, server_port: int) -> None:
        self.server_port = server_port
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.port = self.listener.getsockname()[1]
        self.pairs: set[tuple[socket.socket, socket.socket]] = set()
        self.lock = threading.Lock()
        threading.Thread(target=self._accept, daemon=True).start()

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def _accept(self) -> None:
        with contextlib.suppress(OSError):
            while True:
                near, _ = self.listener.accept()
                try:
                    far = socket.create_connection(("127.0.0.1", self.server_port))
                except OSError:  # the server is down: so is the line
                    near.close()
                    continue
                pair = (near, far)
                with self.lock:
                    self.pairs.add(pair)
                for ends in (pair, pair[::-1]):
                    threading.Thread(target=self._carry, args=(*ends, pair), daemon=True).start()

    def _carry(self, come: socket.socket, go: socket.socket, pair: tuple) -> None:
        with contextlib.suppress(OSError):
            while block := come.recv(16_384):
                go.sendall(block)
        with self.lock:
            self.pairs.discard(pair)
        for end in pair:
            with contextlib.suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
            end.close()

    def cut(self) -> int:
        """Reset every connection at once; return how many there were."""
        with self.lock:
            cut = list(self.pairs)
        for pair in cut:
            for end in pair:
                with contextlib.suppress(OSError):
                    # No orderly end: what was on its way is lost.
                    end.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
                    end.shutdown(socket.SHUT_RDWR)
        return len(cut)

    def close(self) -> None:
        """Stop for good."""
        self.listener.close()
        self.cut()
