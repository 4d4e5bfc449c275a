"""A little server of tiles for tests: one colour each, and what it was told."""

import io
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

from PIL import Image

COLOUR = (190, 20, 190)


class TileServer:
    """`asked`: path and headers of each request. `is_there`: without it every tile is missing."""

    def __init__(self, *, is_there: bool = True) -> None:
        self.asked: list[tuple[str, dict[str, str]]] = []
        picture = io.BytesIO()
        Image.new("RGB", (256, 256), COLOUR).save(picture, "PNG")
        told = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                told.asked.append((self.path, {name.lower(): value for name, value in self.headers.items()}))
                self.send_response(200 if is_there else 404)
                self.send_header("Content-Type", "image/png")
                self.end_headers()
                self.wfile.write(picture.getvalue() if is_there else b"")

            def log_message(self, *_: object) -> None:
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)

    @property
    def address(self) -> str:
        """By another name than the ledger's own, so that a browser takes it for another site."""
        return f"http://127.0.0.1:{self.server.server_address[1]}/{{z}}/{{x}}/{{y}}.png"

    @property
    def zooms(self) -> set[int]:
        return {int(path.split("/")[1]) for path, _ in self.asked}


@contextmanager
def tile_server(*, is_there: bool = True) -> Iterator[TileServer]:
    tiles = TileServer(is_there=is_there)
    thread = threading.Thread(target=tiles.server.serve_forever, daemon=True)
    thread.start()
    try:
        yield tiles
    finally:
        tiles.server.shutdown()
        tiles.server.server_close()
        thread.join()
