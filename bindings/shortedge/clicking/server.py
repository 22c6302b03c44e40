"""The page's server: this machine alone, standard library alone.

It listens on 127.0.0.1. Whoever asks must name the host it listens on (a page of another name cannot reach it by
pointing that name here), come from no other origin, and, but for the page itself, carry the token that the address's
fragment brought; a fragment is never sent, so no log holds it. Bodies are JSON of at most BODY bytes. One tab at a time
holds the trace; another is told so and may take it over.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import json
import secrets
import sys
import threading
import time
from collections.abc import Callable
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

from .._core import FileError, InputError
from .work import Work

HOST = "127.0.0.1"
BODY = 1 << 18  # bytes of a request
TOKEN, TAB = "X-Shortedge-Token", "X-Shortedge-Tab"
SILENT = 20.0  # s without a word after which a tab is gone
SLOW = 30.0  # s a request may take to arrive
TURN = 5e-4  # s after which what is worked out behind lets an answer go on
FOLDER = Path(__file__).parent


def page() -> tuple[bytes, str]:
    """The page, and its policy: nothing runs, is styled, loaded or reached but what is in it and its own server."""
    style = (FOLDER / "page.css").read_text(encoding="utf-8")
    script = "\n".join((FOLDER / "scripts" / name).read_text(encoding="utf-8") for name in SCRIPTS)
    html = (FOLDER / "page.html").read_text(encoding="utf-8")
    html = html.replace("/*style*/", style).replace("/*script*/", script)

    def sealed(text: str) -> str:
        return "'sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() + "'"

    policy = (
        f"default-src 'none'; script-src {sealed(script)}; style-src {sealed(style)}; connect-src 'self'; "
        "img-src blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
    return html.encode(), policy


SCRIPTS = ("talk.js", "film.js", "above.js", "desk.js")


class Refused(Exception):
    """A request that is not answered, with the code that says so."""

    def __init__(self, code: int, says: str) -> None:
        super().__init__(says)
        self.code, self.says = code, says


class Tabs:
    """Which of the page's tabs holds the trace: the first, until it is silent or another takes over."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock, self._lock = clock, threading.Lock()
        self._holder, self._heard = "", -SILENT

    def holds(self, tab: str, take: bool = False) -> bool:
        with self._lock:
            now = self._clock()
            if take or not self._holder or tab == self._holder or now - self._heard > SILENT:
                self._holder, self._heard = tab, now
            return tab == self._holder


class Server(ThreadingHTTPServer):
    """Serves one trace. `address` is what the browser opens."""

    daemon_threads = True
    allow_reuse_address = False

    def __init__(self, work: Work, port: int = 0) -> None:
        super().__init__((HOST, port), Handler)
        self.work, self.token, self.tabs = work, secrets.token_urlsafe(24), Tabs()
        self.page, self.policy = page()
        self.stopped = threading.Event()
        self._usual = sys.getswitchinterval()
        sys.setswitchinterval(min(self._usual, TURN))

    @property
    def address(self) -> str:
        return f"http://{HOST}:{self.server_address[1]}/#{self.token}"

    def serve_until_stopped(self) -> None:
        """Serves until the page says it is done, or Ctrl-C."""
        serving = threading.Thread(target=self.serve_forever, args=(0.1,), daemon=True)
        serving.start()
        try:
            while not self.stopped.wait(0.2):
                pass
            time.sleep(0.2)  # the answer to the page's last word
        except KeyboardInterrupt:
            pass
        finally:
            self.shutdown()

    def server_close(self) -> None:
        super().server_close()
        sys.setswitchinterval(self._usual)

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A browser that went away is no matter."""


class Handler(BaseHTTPRequestHandler):
    server: Server
    protocol_version = "HTTP/1.1"
    server_version, sys_version = "shortedge", ""
    timeout = SLOW

    def log_message(self, format: str, *args: Any) -> None:
        pass

    # ------------------------------------------------------------------------------------------------- asking

    def do_GET(self) -> None:
        self._answered(self._get)

    def do_POST(self) -> None:
        self._answered(self._post)

    def _answered(self, answer: Callable[[], None]) -> None:
        try:
            self._check()
            answer()
        except Refused as why:
            self.close_connection = True
            self._json({"says": why.says}, why.code)
        except (InputError, FileError) as why:
            self._json({"says": str(why)}, 422)
        except (BrokenPipeError, ConnectionResetError, TimeoutError):
            self.close_connection = True
        except Exception as why:  # an answer in any case: the page says it
            self.close_connection = True
            self._json({"says": f"the server failed: {type(why).__name__}"}, 500)

    def _check(self) -> None:
        port = self.server.server_address[1]
        hosts = {f"{HOST}:{port}", f"localhost:{port}"}
        if self.headers.get_all("Host", []) not in ([host] for host in hosts):
            raise Refused(403, "another host was asked for")
        origin = self.headers.get("Origin")
        if origin is not None and origin not in {f"http://{host}" for host in hosts}:
            raise Refused(403, "asked from another page")
        if self.headers.get("Sec-Fetch-Site", "same-origin") not in ("same-origin", "none"):
            raise Refused(403, "asked from another page")

    def _token(self) -> None:
        given = self.headers.get(TOKEN, "")
        if not hmac.compare_digest(given.encode("utf-8", "replace"), self.server.token.encode()):
            raise Refused(403, "without the word that the address brings; open the address the program printed")

    def _get(self) -> None:
        asked = urlsplit(self.path)
        if asked.path == "/" and not asked.query:
            self._send(self.server.page, "text/html; charset=utf-8", {"Content-Security-Policy": self.server.policy})
            return
        if asked.path != "/frame":
            raise Refused(404, "there is nothing here")
        self._token()
        said = {name: values[0] for name, values in parse_qs(asked.query, keep_blank_values=True).items()}
        try:
            number = int(said["number"])
            play, angle = said["play"], said["angle"]
        except (KeyError, ValueError):
            raise Refused(400, "a picture is asked for by play, angle and number") from None
        work = self.server.work
        self._send(work.shelf.get(work.film(play, angle), number), "image/jpeg", {})

    def _post(self) -> None:
        self._token()
        asked = self.path
        answers = {
            "/hello": self._hello,
            "/do": self._do,
            "/picture": self._picture,
            "/state": self._state,
            "/above": self._above,
            "/fetch": self._fetch,
            "/follow": self._follow,
            "/unfollow": self._unfollow,
            "/accept-camera": self._accept_camera,
            "/accept-men": self._accept_men,
            "/accept-guessed": self._accept_guessed,
            "/stop": self._stop,
        }
        if asked not in answers:
            raise Refused(404, "there is nothing here")
        said = self._body()
        tab = self.headers.get(TAB, "")
        if not 8 <= len(tab) <= 64:
            raise Refused(400, "without a tab")
        if asked != "/hello" and not self.server.tabs.holds(tab):
            raise Refused(409, "this trace is open in another tab")
        self._json(answers[asked](said))

    def _body(self) -> dict[str, Any]:
        if (
            self.headers.get("Transfer-Encoding")
            or self.headers.get("Content-Type", "").split(";")[0] != "application/json"
        ):
            raise Refused(415, "accepted: JSON, with its length")
        try:
            length = int(self.headers.get("Content-Length", ""))
        except ValueError:
            raise Refused(411, "accepted: JSON, with its length") from None
        if not 0 <= length <= BODY:
            raise Refused(413, f"accepted: at most {BODY} bytes")
        try:
            said = json.loads(self.rfile.read(length))
        except (ValueError, RecursionError):
            raise Refused(400, "no JSON") from None
        if not isinstance(said, dict):
            raise Refused(400, "accepted: a JSON object")
        return said

    # ---------------------------------------------------------------------------------------------- answering

    def _hello(self, said: dict[str, Any]) -> dict[str, Any]:
        work = self.server.work
        yours = self.server.tabs.holds(self.headers.get(TAB, ""), said.get("take") is True)
        films = {angle: {"file": film.path.name, "stamps": film.stamps.tolist()} for angle, film in work.films.items()}
        marks = work.marks
        return {
            "yours": yours,
            "trace": work.trace.path.name,
            "field": work.trace.field,
            "angles": work.trace.angles,
            "films": films,
            "marks": [
                {"name": name, "x": float(place[0]), "y": float(place[1]), "line": bool(line), "sure": bool(sure)}
                for name, place, line, sure in zip(marks.names, marks.places, marks.crossing, marks.sure, strict=True)
            ],
            "follows": work.follows,
        }

    def _do(self, said: dict[str, Any]) -> dict[str, Any]:
        return {"n": self.server.work.do(said)}

    def _picture(self, said: dict[str, Any]) -> dict[str, Any]:
        return self.server.work.picture(*asked(said, play=str, angle=str, number=int))

    def _state(self, said: dict[str, Any]) -> dict[str, Any]:
        return self.server.work.state(*asked(said, play=str))

    def _above(self, said: dict[str, Any]) -> dict[str, Any]:
        return self.server.work.above(*asked(said, play=str, time=float, angle=str))

    def _fetch(self, said: dict[str, Any]) -> dict[str, Any]:
        play, angle, first, last = asked(said, play=str, angle=str, first=int, last=int)
        work = self.server.work
        work.shelf.fetch(work.film(play, angle), first, min(last, first + 600))
        return {}

    def _follow(self, said: dict[str, Any]) -> dict[str, Any]:
        self.server.work.follow(*asked(said, play=str, angle=str))
        return {}

    def _unfollow(self, said: dict[str, Any]) -> dict[str, Any]:
        self.server.work.unfollow(*asked(said, play=str, angle=str))
        return {}

    def _accept_camera(self, said: dict[str, Any]) -> dict[str, Any]:
        return {"n": self.server.work.accept_camera(*asked(said, play=str, angle=str, number=int))}

    def _accept_guessed(self, said: dict[str, Any]) -> dict[str, Any]:
        return {"taken": self.server.work.accept_guessed(*asked(said, play=str, angle=str, number=int))}

    def _accept_men(self, said: dict[str, Any]) -> dict[str, Any]:
        return {"men": self.server.work.accept_men(*asked(said, play=str, angle=str))}

    def _stop(self, said: dict[str, Any]) -> dict[str, Any]:
        self.server.stopped.set()
        return {}

    def _json(self, said: dict[str, Any], code: int = 200) -> None:
        self._send(json.dumps(said, allow_nan=False).encode(), "application/json", {}, code)

    def _send(self, body: bytes, kind: str, headers: dict[str, str], code: int = 200) -> None:
        self.send_response(code)
        for name, value in {
            "Content-Type": kind,
            "Content-Length": str(len(body)),
            "Cache-Control": "no-store",
            "X-Content-Type-Options": "nosniff",
            "Referrer-Policy": "no-referrer",
            "Cross-Origin-Resource-Policy": "same-origin",
            **headers,
        }.items():
            self.send_header(name, value)
        self.end_headers()
        self.wfile.write(body)


def asked(said: dict[str, Any], **wanted: type) -> list[Any]:
    """The values of a request, each of its type. Refused else."""
    found = []
    for name, type_ in wanted.items():
        value = said.get(name)
        if type_ is float and isinstance(value, int) and not isinstance(value, bool):
            value = float(value)
        if not isinstance(value, type_) or isinstance(value, bool):
            raise Refused(400, f"{name} is missing or of another kind")
        found.append(value)
    return found
