"""The page in which film is clicked: its pictures, its server, its acts, and a hand at it in a browser."""

from __future__ import annotations

import http.client
import json
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast
from urllib.parse import quote, urlsplit

import numpy as np
import pytest

import shortedge as se
from browser import chromium, violations
from made_film import PLAY, MadeFilm, click, make_film
from shortedge.clicking.server import BODY, TAB, TOKEN, Server
from shortedge.clicking.work import CATCH_UP, LEFT_OUT, FollowJob, Work, stooping
from shortedge.film.following import Apart, Clicked, Followed
from shortedge.film.pictures import Film
from shortedge.film.poses import Pose, clicked_poses
from shortedge.film.ready import Shelf
from shortedge.trace.clicks import Reading

GREYS = "geq=lum='40+4*mod(N\\,50)':cb=128:cr=128"  # picture N is as grey as 40 + 4 N, so that each says its number


def grey_film(path: Path, rate: str, *more: str, count: int = 48) -> Path:
    command = ["ffmpeg", "-loglevel", "error", "-y", "-f", "lavfi", "-i", f"color=black:s=64x48:r={rate},{GREYS}"]
    subprocess.run(
        [*command, "-frames:v", str(count), "-c:v", "libx264", "-g", "20", "-bf", "2", *more, str(path)], check=True
    )
    return path


# ---------------------------------------------------------------------------------------------------- pictures


@pytest.mark.parametrize("rate", ["25", "30000/1001", "60000/1001"])
def test_a_picture_asked_for_by_number_is_that_picture(tmp_path: Path, rate: str) -> None:
    film = Film(grey_film(tmp_path / "a.mp4", rate))
    assert film.size == (64, 48)
    wanted = np.arange(48) / eval(rate)
    assert np.allclose(film.stamps, wanted, atol=1e-3)
    for at in (-1.0, 0.0, 0.41 / eval(rate), 0.59 / eval(rate), 7.4 / eval(rate), 1.0, 99.0):
        assert film.nearest(at) == np.abs(film.stamps - at).argmin()
    for number in (0, 1, 19, 20, 21, 33, 47):
        picture = next(film.arrays(number, 1))
        assert abs(float(picture.mean()) - grey_of(number)) < 1.6
    shelf = Shelf()
    assert shelf.get(film, 30)[:2] == b"\xff\xd8"
    with pytest.raises(se.InputError, match="accepted: 0 to 47"):
        shelf.get(film, 48)


def grey_of(number: int) -> float:
    """What 40 + 4 N of a video's range of 16 to 235 is in the full range (ITU-R BT.601)."""
    return (40 + 4 * number - 16) * 255 / 219


def test_pictures_of_a_film_of_variable_rate_keep_their_stamps(tmp_path: Path) -> None:
    """Every third picture is left out: the others stay at their times."""
    path = tmp_path / "a.mp4"
    source = f"color=black:s=64x48:r=30,{GREYS}"
    command = ["ffmpeg", "-loglevel", "error", "-y", "-f", "lavfi", "-i", source, "-vf", "select='mod(n\\,3)'"]
    subprocess.run([*command, "-frames:v", "30", "-fps_mode", "passthrough", "-c:v", "libx264", str(path)], check=True)
    film = Film(path)
    kept = [number for number in range(60) if number % 3][:30]
    stamps = np.array(kept) / 30
    assert np.allclose(film.stamps - film.stamps[0], stamps - stamps[0], atol=1e-3)
    for k in (0, 1, 7, 16, 29):
        assert abs(float(next(film.arrays(k, 1)).mean()) - grey_of(kept[k])) < 1.6


def test_an_interlaced_film_is_deinterlaced(tmp_path: Path) -> None:
    path = tmp_path / "a.mp4"
    source = f"color=black:s=64x48:r=50,{GREYS},tinterlace=interleave_top,fieldorder=tff"
    command = ["ffmpeg", "-loglevel", "error", "-y", "-f", "lavfi", "-i", source, "-frames:v", "20"]
    subprocess.run([*command, "-c:v", "libx264", "-flags", "+ildct+ilme", "-x264opts", "tff=1", str(path)], check=True)
    film = Film(path)
    assert film.interlaced
    picture = next(film.arrays(10, 1)).mean(axis=(1, 2))
    assert np.ptp(picture) < 8  # its two half pictures differ by 4.7 of grey, line by line


def test_what_is_no_film_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a.mp4").write_bytes(b"no film at all")
    with pytest.raises(se.FileError, match="no pictures"):
        Film(tmp_path / "a.mp4")
    with pytest.raises(se.FileError, match="no such file"):
        Film(tmp_path / "b.mp4")


# ------------------------------------------------------------------------------------------------------ server


class Client:
    """Asks the server as its page does, or otherwise."""

    def __init__(self, server: Server) -> None:
        self.port, self.token, self.tab = server.server_address[1], server.token, "tab-of-the-test"

    def ask(
        self, what: str, said: Any = None, method: str = "POST", body: bytes | None = None, **heads: str | None
    ) -> tuple[int, Any]:
        usual = {
            "Host": f"127.0.0.1:{self.port}",
            TOKEN: self.token,
            TAB: self.tab,
            "Content-Type": "application/json",
        }
        text = json.dumps(said if said is not None else {}).encode() if body is None else body
        named = {name.replace("_", "-"): value for name, value in heads.items()}
        headers = {name: value for name, value in (usual | named).items() if value is not None}
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        connection.putrequest(method, what, skip_host=True)
        for name, value in headers.items():
            connection.putheader(name, value)
        if method == "POST" and "Content-Length" not in headers and "Transfer-Encoding" not in headers:
            connection.putheader("Content-Length", str(len(text)))
        connection.endheaders()
        if method == "POST":
            connection.send(text)
        answer = connection.getresponse()
        found = answer.read()
        connection.close()
        return answer.status, json.loads(found) if answer.getheader("Content-Type") == "application/json" else found


@pytest.fixture(scope="module")
def clicks(tmp_path_factory: pytest.TempPathFactory) -> MadeFilm:
    """A play's true pixels without a drawn film: what a hand clicks does not depend on how the picture looks."""
    made = make_film(tmp_path_factory.mktemp("clicks"), "end zone", 3.4, draw=False)
    size = f"{made.size[0]}x{made.size[1]}"
    command = ["ffmpeg", "-loglevel", "error", "-y", "-f", "lavfi", "-i", f"testsrc=s={size}:r=30"]
    subprocess.run([*command, "-frames:v", "102", "-pix_fmt", "yuv420p", str(made.film)], check=True)
    return made


@pytest.fixture
def served(clicks: MadeFilm, tmp_path: Path) -> Iterator[tuple[Server, Client]]:
    (tmp_path / "film.mp4").write_bytes(clicks.film.read_bytes())
    trace = se.Trace(tmp_path / "game.trace", "pro", {clicks.angle: clicks.size}, films={clicks.angle: "film.mp4"})
    work = Work(trace, {clicks.angle: Film(tmp_path / "film.mp4")})
    server = Server(work)
    threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True).start()
    client = Client(server)
    client.ask("/hello")
    yield server, client
    server.shutdown()
    server.server_close()
    work.close()


EVENT = {"do": "event", "play": PLAY, "what": "snap", "angle": "end zone", "time": 0.3}


def test_it_listens_on_this_machine_alone(served: tuple[Server, Client]) -> None:
    assert served[0].server_address[0] == "127.0.0.1"


@pytest.mark.parametrize(
    ("heads", "code"),
    [
        ({"Host": "evil.example"}, 403),
        ({"Host": None}, 403),
        ({"Origin": "http://evil.example"}, 403),
        ({"Origin": "null"}, 403),
        ({"Sec_Fetch_Site": "cross-site"}, 403),
        ({TOKEN: "wrong"}, 403),
        ({TOKEN: None}, 403),
        ({TAB: None}, 400),
        ({"Content_Type": "text/plain"}, 415),
        ({"Transfer_Encoding": "chunked"}, 415),
        ({"Content_Length": "many"}, 411),
        ({"Content_Length": "-5"}, 413),
        ({"Content_Length": str(BODY + 1)}, 413),
    ],
)
def test_who_does_not_come_from_its_page_is_refused(
    served: tuple[Server, Client], heads: dict[str, str | None], code: int
) -> None:
    server, client = served
    status, _ = client.ask("/do", EVENT, **heads)
    assert status == code
    assert len(server.work.trace) == 0


@pytest.mark.parametrize("what", ["/../../etc/passwd", "/frame/../game.trace", "/game.trace", "/%2e%2e/", "/page.html"])
def test_paths_lead_nowhere(served: tuple[Server, Client], what: str) -> None:
    for method in ("GET", "POST"):
        status, found = served[1].ask(what, method=method)
        assert status == 404
        assert b"root:" not in json.dumps(found).encode()


@pytest.mark.parametrize(
    "body", [b"", b"{", b"[]", b"3", b"[" * 100_000, b'{"do": "fly"}', b'{"do": {"a": 1}}', b"\xff"]
)
def test_odd_bodies_are_refused_and_write_nothing(served: tuple[Server, Client], body: bytes) -> None:
    server, client = served
    status, found = client.ask("/do", body=body)
    assert status in (400, 422)
    assert found["says"]
    assert len(server.work.trace) == 0


@pytest.mark.parametrize(
    "act",
    [
        EVENT | {"time": "0.3"},
        EVENT | {"time": True},
        EVENT | {"what": "kick"},
        EVENT | {"angle": "the moon"},
        EVENT | {"path": "/etc/passwd"},
        {"do": "undo"},
        {"do": "strike", "act": 7},
        {"do": "mark", "play": "1", "angle": "end zone", "time": 0, "x": 1, "y": 2, "name": "left 99, nowhere"},
        {"do": "foot", "play": "1", "angle": "end zone", "time": 0, "player": "a", "x": 1e999, "y": 2},
    ],
)
def test_an_act_of_no_sense_is_refused_in_words(served: tuple[Server, Client], act: dict[str, Any]) -> None:
    server, client = served
    status, found = client.ask("/do", body=json.dumps(act).encode())
    assert status == 422
    assert any(word in found["says"] for word in ("accepted", "lacks", "no act"))
    assert len(server.work.trace) == 0


def test_the_page_itself_is_sealed(served: tuple[Server, Client]) -> None:
    _, client = served
    connection = http.client.HTTPConnection("127.0.0.1", client.port)
    connection.request("GET", "/")
    answer = connection.getresponse()
    policy, text = answer.getheader("Content-Security-Policy", ""), answer.read().decode()
    assert policy.startswith("default-src 'none'")
    assert "unsafe" not in policy
    assert client.token not in text
    assert "http://" not in text.replace("http://www.w3.org/2000/svg", "")


def test_a_second_tab_is_told_so_and_may_take_over(served: tuple[Server, Client]) -> None:
    _, client = served
    client.tab = "another-tab"
    assert client.ask("/hello")[1]["yours"] is False
    assert client.ask("/do", EVENT)[0] == 409
    assert client.ask("/hello", {"take": True})[1]["yours"] is True
    assert client.ask("/do", EVENT)[0] == 200
    client.tab = "tab-of-the-test"
    assert client.ask("/do", EVENT)[0] == 409


def test_frames_come_by_number_and_only_with_the_word(served: tuple[Server, Client]) -> None:
    _, client = served
    asked = f"/frame?play={PLAY}&angle={quote('end zone')}&number="
    status, found = client.ask(asked + "7", method="GET")
    assert (status, found[:2]) == (200, b"\xff\xd8")
    assert client.ask(asked + "7", method="GET", **{TOKEN: None})[0] == 403
    for wrong in ("102", "-1", "x", "1e3", ""):
        assert client.ask(asked + wrong, method="GET")[0] in (400, 422)


# -------------------------------------------------------------------------------------------------------- acts


def marks_of_field() -> Any:
    names = se.field_marks("pro")
    return names.to_pandas() if hasattr(names, "to_pandas") else names


def scripted(
    made: MadeFilm, every: int, rng: np.random.Generator, mark: float = 0.7, foot: float = 1.0
) -> Iterator[Any]:
    """What a hand does with a play, picture by picture: marks until the page says enough, then men. Yields acts; is
    sent what the page wants next."""
    names = marks_of_field()
    place = {name: np.array([x, y]) for name, x, y in zip(names["name"], names["x"], names["y"], strict=True)}
    sure = names[names["error"] == 0]
    for number in range(0, 100, every):
        where = {"play": PLAY, "angle": made.angle, "time": number / 30}
        wants = yield {"look": number}
        while wants["next"]["what"] == "mark":
            name = wants["next"]["name"]
            if name is None:  # nothing is known: he takes what he sees, far from what he has
                pixels = made.seen(number, sure[["x", "y"]].to_numpy())
                inside = np.flatnonzero((pixels > 8).all(axis=1) & (pixels < np.array(made.size) - 8).all(axis=1))
                have = [made.seen(number, place[one["name"]][None])[0] for one in wants["marks"]]
                apart = [min((np.hypot(*(pixels[k] - one)) for one in have), default=1.0) for k in inside]
                name = sure["name"].iloc[inside[int(np.argmax(apart))]]
            x, y = made.seen(number, place[name][None])[0] + rng.normal(0, mark, 2)
            wants = yield {"do": "mark", **where, "x": x, "y": y, "name": name}
        while wants["next"]["what"] == "man":
            player = wants["next"]["player"]
            x, y = made.feet(player, number) + rng.normal(0, foot, 2)
            wants = yield {"do": "foot", **where, "player": player, "x": x, "y": y, "at": "between"}


def settled(work: Work) -> dict[str, Any]:
    for _ in range(600):
        state = work.state(PLAY)
        if not state["busy"] and state["pocket"] is not None:
            return state
        time.sleep(0.05)
    raise AssertionError("nothing was worked out")


def act_out(work: Work, made: MadeFilm, every: int = 9) -> list[float]:
    """A hand clicks the play; gives how long each act took."""
    for player in made.near:
        work.do({"do": "person", "player": player, **{k: made.people[player][k] for k in ("unit", "position")}})
    snap = made.play.snap
    work.do(
        {
            "do": "snap",
            "play": PLAY,
            **{k: float(snap[k]) for k in ("ball_x", "ball_y")},
            "direction": int(snap["direction"]),
        }
    )
    work.do(EVENT)
    hand, took, number, wants = scripted(made, every, np.random.default_rng(4)), [], 0, None
    try:
        while True:
            said = hand.send(wants)
            if "look" in said:
                number = said["look"]
                settled_cameras(work)
            else:
                begun = time.perf_counter()
                work.do(said)
                took.append(time.perf_counter() - begun)
                if said["do"] == "mark":
                    settled_cameras(work)
            wants = work.picture(PLAY, made.angle, number)
    except StopIteration:
        return took


def settled_cameras(work: Work) -> None:
    for _ in range(1500):
        if not work.state("")["busy"]:
            return
        time.sleep(0.02)
    raise AssertionError("nothing was worked out")


def test_a_hand_that_follows_the_page_gets_a_pocket_near_the_true_one(clicks: MadeFilm, tmp_path: Path) -> None:
    """Clicked every three tenths of a second: width within 0.10 yd, depth within 0.15 of those of true places at the
    median, as tests/film.py asks of whole games."""
    (tmp_path / "film.mp4").write_bytes(clicks.film.read_bytes())
    trace = se.Trace(tmp_path / "game.trace", "pro", {clicks.angle: clicks.size}, films={clicks.angle: "film.mp4"})
    work = Work(trace, {clicks.angle: Film(tmp_path / "film.mp4")})
    took = act_out(work, clicks)
    state = settled(work)
    work.close()
    # Twelve pictures: eight marks at most in the first two, which find the camera's place, then two.
    assert len(took) <= 12 * len(clicks.near) + 2 * 8 + 10 * 2
    assert np.median(took) < 0.05
    assert [doubt for doubt in state["doubts"] if doubt["what"] != "speed"] == []
    mine = se.measure(se.from_trace(tmp_path / "game.trace"))
    tracks = {"play": [], "player": [], "time": [], "x": [], "y": []}
    for player in clicks.near:
        for at in np.arange(0, 2.91, 0.1):
            x, y = clicks.play.at(player, float(at))
            for name, value in zip(tracks, (PLAY, player, float(at), x, y), strict=True):
                tracks[name].append(value)
    snap = {name: [clicks.play.snap[name]] for name in ("play", "ball_x", "ball_y", "direction")} | {"snap_time": [0.0]}
    people = {name: [clicks.people[one][name] for one in clicks.near] for name in ("player", "unit", "position")}
    true = se.measure(se.from_tables(tracks, snap, people, units="yd", origin="corner", y="up"))
    a, b = (m.frames.set_index(m.frames["time"].round(2)) for m in (mine, true))
    both = [at for at in a.index.intersection(b.index) if a.status[at] == "ok" == b.status[at] and at <= 2.5]
    assert len(both) > 15
    for name, most in (("pocket_width", 0.10), ("pocket_depth", 0.15)):
        assert np.median(np.abs(a[name][both] - b[name][both])) <= most, name


def test_a_click_put_right_takes_the_others_place_and_undo_gives_it_back(served: tuple[Server, Client]) -> None:
    work = served[0].work
    foot = {
        "do": "foot",
        "play": PLAY,
        "angle": "end zone",
        "time": 0.3,
        "player": "a",
        "x": 10.0,
        "y": 20.0,
        "at": "foot",
    }
    work.do(foot)
    work.do(foot | {"x": 12.0})
    rows = work.trace.acts.columns("foot")
    assert rows["x"].tolist() == [12.0]
    work.do({"do": "undo"})  # one, though a click put right is two acts
    assert work.trace.acts.columns("foot")["x"].tolist() == [10.0]
    work.do({"do": "redo"})
    assert work.trace.acts.columns("foot")["x"].tolist() == [12.0]
    work.do(foot | {"x": 13.0})
    for left in ([12.0], [10.0], []):
        work.do({"do": "undo"})
        assert work.trace.acts.columns("foot")["x"].tolist() == left
    for back in ([10.0], [12.0], [13.0]):
        work.do({"do": "redo"})
        assert work.trace.acts.columns("foot")["x"].tolist() == back


PAGE = """
import sys, threading
import shortedge as se
from pathlib import Path
from shortedge.clicking.server import Server
from shortedge.clicking.work import Work
from shortedge.film.pictures import Film
folder = Path(sys.argv[1])
new = not (folder / "game.trace").exists()
made = {"field": "pro", "angles": {"end zone": (640, 360)}, "films": {"end zone": "film.mp4"}} if new else {}
server = Server(Work(se.Trace(folder / "game.trace", **made), {"end zone": Film(folder / "film.mp4")}))
print(server.server_address[1], server.token, flush=True)
server.serve_forever()
"""


def test_killed_while_it_is_clicked_it_loses_no_answered_act(clicks: MadeFilm, tmp_path: Path) -> None:
    """Killed outright at odd moments, as often as time allows; the acts that were answered are all in the file."""
    kills = 100 if os.environ.get("SHORTEDGE_FULL") == "1" else 6
    (tmp_path / "film.mp4").write_bytes(clicks.film.read_bytes())
    rng, answered = np.random.default_rng(2), 0
    for _ in range(kills):
        process = subprocess.Popen([sys.executable, "-c", PAGE, str(tmp_path)], stdout=subprocess.PIPE, text=True)
        assert process.stdout
        port, token = process.stdout.readline().split()
        client = Client.__new__(Client)
        client.port, client.token, client.tab = int(port), token, "tab-of-the-test"
        client.ask("/hello")
        threading.Timer(float(rng.uniform(0.01, 0.4)), process.send_signal, [signal.SIGKILL]).start()
        try:
            while True:
                status, _ = client.ask("/do", EVENT | {"time": answered * 0.001})
                assert status == 200
                answered += 1
        except (ConnectionError, http.client.HTTPException, TimeoutError):
            pass
        process.wait()
        process.stdout.close()
        with se.Trace(tmp_path / "game.trace") as trace:
            assert answered <= len(trace) <= answered + 1
            answered = len(trace)
    assert answered > kills


# ----------------------------------------------------------------------------------------------------- a browser


def test_no_picture_is_asked_for_while_men_stand(
    clicks: MadeFilm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of a play of three seconds eleven pictures every 0.3 s, of which none between 0.3 s before the snap and 0.2 s
    after it; eight where camera and men are followed between them, which is so where OpenCV is there."""
    film, events = Film(clicks.film), {"snap": 0.3, "throw": 3.3}

    def asked() -> list[float]:
        trace = se.Trace(tmp_path / f"{time.time_ns()}.trace", "pro", {clicks.angle: clicks.size})
        work = Work(trace, {})
        keys = work.key_pictures(film, events)
        work.close()
        return [round(float(film.stamps[key]), 2) for key in keys]

    assert asked() == [0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.37]  # 3.5, were the film not over before
    monkeypatch.setattr(Work, "follows", False)
    assert asked() == pytest.approx([0.0, 0.5, 0.8, 1.1, 1.4, 1.7, 2.0, 2.3, 2.6, 2.9, 3.2], abs=0.02)


@pytest.mark.parametrize("ball", [False, True])
def test_after_one_named_mark_the_page_asks_for_others_that_are_in_the_picture(
    clicks: MadeFilm, served: tuple[Server, Client], ball: bool
) -> None:
    """Before a camera is known: three after the one that is named, or four where a table said where the ball lies."""
    work = served[0].work
    table = marks_of_field().set_index("name")
    where = {"play": PLAY, "angle": clicks.angle, "time": 9 / 30}
    work.do(EVENT)
    settled_cameras(work)
    assert work.picture(PLAY, clicks.angle, 9)["next"] == {"what": "mark", "name": None}
    at = np.array([float(clicks.play.snap[name]) for name in ("ball_x", "ball_y")])
    if ball:
        work.do({"do": "snap", "play": PLAY, "ball_x": at[0], "ball_y": at[1], "direction": 1})
    crossings = table[(table["error"] == 0) & (table["x"] % 5 == 0) & table.index.str.endswith("hash")]
    name = crossings.index[int(np.hypot(*(crossings[["x", "y"]] - at).to_numpy().T).argmin())]
    asked: list[str] = []
    for k in range(4):
        wanted = work.picture(PLAY, clicks.angle, 9)["next"]["name"]
        if k or ball:
            name = wanted
        assert name not in asked
        pixel = clicks.seen(9, table.loc[[name], ["x", "y"]].to_numpy())[0]
        assert (pixel > 0).all()
        assert (pixel < clicks.size).all()
        asked.append(name)
        work.do({"do": "mark", **where, "name": name, "x": float(pixel[0]), "y": float(pixel[1])})
    settled_cameras(work)
    there = work.picture(PLAY, clicks.angle, 9)
    assert there["camera"] is not None
    assert there["offered"]  # from now on they are drawn
    assert there["likely"] == []


def truly_apart(made: MadeFilm, one: Clicked, other: Clicked) -> Apart:
    """What two clicks of the man who stands nearest to both differ by."""
    player = min(
        made.near,
        key=lambda man: sum(np.hypot(*(at.pixel - made.feet(man, at.number))) for at in (one, other)),
    )
    off = [at.pixel - made.feet(player, at.number) for at in (one, other)]
    return Apart(0, 1, off[0] - off[1], np.ones(2))


EXACT: dict[Path, dict[int, Pose]] = {}


def exact_poses(clicks: MadeFilm) -> dict[int, Pose]:
    """The cameras of four pictures from marks clicked as they are."""
    exact = replace(clicks, folder=clicks.folder / "exact")
    exact.folder.mkdir()
    (exact.folder / "film.mp4").write_bytes(clicks.film.read_bytes())
    with click(exact, [0, 9, 18, 27], mark_error=0.01) as trace:
        return clicked_poses(trace.reading, PLAY, clicks.angle, Film(exact.film))


def followed_to_the_fourth(clicks: MadeFilm, folder: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Work, MadeFilm]:
    """A play of which three pictures were clicked by a hand four pixels off, and whose camera and men were followed
    truly: each man is carried just as far as he moved."""
    poses = EXACT.get(clicks.folder) or EXACT.setdefault(clicks.folder, exact_poses(clicks))
    made = replace(clicks, folder=folder)
    (folder / "film.mp4").write_bytes(clicks.film.read_bytes())
    work = Work(click(made, [0, 9, 18], foot_error=4.0), {made.angle: Film(made.film)}, 0.3)
    settled_cameras(work)
    known = work._known.reading
    assert known is not None
    job = FollowJob(known, PLAY, made.angle, work.film(PLAY, made.angle), {}, [0, 9, 18, 27])
    job.cameras = {number: Followed(number, poses[min(-(-number // 9) * 9, 27)], True) for number in range(28)}
    work._jobs[PLAY, made.angle] = job
    monkeypatch.setattr(Film, "arrays", lambda self, first, count: iter([np.zeros((2, 2, 3), np.uint8)] * count))
    monkeypatch.setattr(
        "shortedge.clicking.work.click_apart",
        lambda pictures, cameras, one, other, rises: truly_apart(made, one, other),
    )
    monkeypatch.setattr(
        "shortedge.clicking.work.follow_on",
        lambda pictures, cameras, clicks, numbers, stamps, rises, speeds: {
            player: one.pixel + made.feet(player, numbers[-1]) - made.feet(player, one.number)
            for player, one in clicks.items()
        },
    )
    while work.picture(PLAY, made.angle, 27)["followed"]["waiting"]:
        time.sleep(0.02)
    return work, made


def test_what_was_followed_between_is_no_click_when_it_is_followed_anew(
    clicks: MadeFilm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    work, made = followed_to_the_fourth(clicks, tmp_path, monkeypatch)
    player, stamps, job = made.near[0], work.film(PLAY, made.angle).stamps, work._jobs[PLAY, made.angle]
    for number in (22, 27):  # of which he was asked to click in the second
        at, (x, y) = float(stamps[number]), made.feet(player, number)
        work._write_camera(PLAY, made.angle, at, job.cameras[number].pose)
        work.trace.foot(PLAY, made.angle, at, player, float(x), float(y), at="between", followed=True)
    other, (x, y) = made.near[1], made.feet(made.near[1], 22)
    work.trace.foot(
        PLAY, made.angle, float(stamps[22]), other, float(x), float(y)
    )  # a hand's own click is one anywhere
    work._again()
    settled_cameras(work)
    known = work._known.reading
    assert known is not None
    clicked = job.clicks_of(known, PLAY, made.angle)
    assert [one.number for one in clicked[player]] == [0, 9, 18, 27]
    assert [one.number for one in clicked[other]] == [0, 9, 18, 22]
    keys = work.plays()[0]["angles"][made.angle]["keys"]
    there = dict.fromkeys((0, 9, 18), len(made.near)) | {22: 2, 27: 1}
    bare = next(key for key in keys if key not in there)
    work.trace.foot(PLAY, made.angle, float(stamps[bare]), other, 30.0, 30.0)  # one man of many
    share = [there.get(key, key == bare) / len(work.men(PLAY)) for key in keys]
    assert work.plays()[0]["angles"][made.angle]["done"] == pytest.approx(np.mean(share), abs=1e-3)
    assert set(clicked_poses(known, PLAY, made.angle, job.film)) == {0, 9, 18, 22, 27}
    monkeypatch.setattr(FollowJob, "start", lambda self: None)
    work.follow(PLAY, made.angle)
    assert set(work._jobs[PLAY, made.angle].poses) == {0, 9, 18}
    work.close()


def test_pictures_of_the_play_in_hand_come_first_then_every_plays_first_one(clicks: MadeFilm, tmp_path: Path) -> None:
    (tmp_path / "film.mp4").write_bytes(clicks.film.read_bytes())
    trace = se.Trace(tmp_path / "game.trace", "pro", {clicks.angle: clicks.size}, films={clicks.angle: "film.mp4"})
    work = Work(trace, {clicks.angle: Film(tmp_path / "film.mp4")}, 0.5)
    for play, snap, end in (("A", 0.4, 0.8), ("B", 1.4, 2.0), ("C", 2.4, 3.0)):
        for what, at in (("snap", snap), ("end", end)):
            work.do({"do": "event", "play": play, "what": what, "angle": clicks.angle, "time": at})
    work.state("B")
    stretches = [(first, last) for _, first, last in work.shelf._plays]
    assert [first for first, last in stretches if first == last] == [63, 3]  # 0.3 s before the snaps of C and of A
    assert stretches[0] == (33 - 30, 63 + 30)  # B, and a second to both sides
    assert len(stretches) == 5
    work.close()


def test_men_are_drawn_where_all_of_a_hands_clicks_put_them(
    clicks: MadeFilm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The mean of three errors is 0.58 of one: a man is drawn nearer to where he is than the last click of him was."""
    work, made = followed_to_the_fourth(clicks, tmp_path, monkeypatch)
    picture = work.picture(PLAY, made.angle, 27)
    assert picture["next"]["what"] == "followed"
    assert {one["player"] for one in picture["guessed"] if one["followed"]} == set(made.near)
    drawn = {one["player"]: np.array([one["x"], one["y"]]) for one in picture["guessed"]}
    last = {one["player"]: np.array([one["x"], one["y"]]) for one in work.picture(PLAY, made.angle, 18)["men"]}
    off = np.array([drawn[one] - made.feet(one, 27) for one in made.near])
    of_last = np.array([last[one] - made.feet(one, 18) for one in made.near])
    assert np.sqrt((off**2).mean()) < 0.75 * np.sqrt((of_last**2).mean())
    # A picture between those to click in asks for nothing, and nobody is followed to it.
    assert not picture["between"]
    begun = len(work._ahead)
    assert work.picture(PLAY, made.angle, 22)["between"]
    assert len(work._ahead) == begun
    # Pictures of the film that cannot be decoded any more tell nothing, and no picture stays of a job that failed.
    job, known = work._jobs[PLAY, made.angle], work._known.reading
    assert known is not None
    ball = np.array([made.play.snap["ball_x"], made.play.snap["ball_y"]])
    for player, his in job.clicks_of(known, PLAY, made.angle).items():
        away = np.abs(made.play.at(player, float(made.times[0])) - ball)
        if (np.abs(away - [2.5, 7.0]) > 1.0).all():  # by more than a hand's error
            assert his[0].stoops == (away <= [2.5, 7.0]).all()
    monkeypatch.setattr(Film, "arrays", lambda self, first, count: iter([np.zeros((2, 2, 3), np.uint8)] * (first < 9)))
    job.let_go()
    assert set(job.hand_off(job.clicks_of(known, PLAY, made.angle), (0, 0), 4.0)) == set(made.near)
    assert set(job._pictures) == {0}
    job._wanted, job.poses = {1: [], 2: []}, {0: job.cameras[0].pose}

    def fails(pictures: Callable[[int, int], Iterator[np.ndarray]], *_: object) -> None:
        for _picture in (*pictures(1, 1), *pictures(2, 1)):
            assert job._decoded
        raise se.FileError("film.mp4: gone")

    monkeypatch.setattr("shortedge.clicking.work.follow_camera", fails)
    job._run()
    assert job.says == "following failed: film.mp4: gone"
    assert work.picture(PLAY, made.angle, 27)["followed"]["says"] == job.says
    assert not job._decoded
    work.close()


def until_followed(work: Work, made: MadeFilm, number: int) -> dict[str, np.ndarray]:
    """Who was followed to a picture, and where, once that is worked out."""
    while (seen := work.picture(PLAY, made.angle, number))["followed"]["waiting"]:
        time.sleep(0.02)
    return {one["player"]: np.array([one["x"], one["y"]]) for one in seen["guessed"] if one.get("followed")}


def moved(work: Work, made: MadeFilm, player: str, number: int, by: np.ndarray) -> None:
    """A hand puts a click right."""
    old = next(one for one in work.picture(PLAY, made.angle, number)["men"] if one["player"] == player)
    at = float(work.film(PLAY, made.angle).stamps[number])
    where = {"play": PLAY, "angle": made.angle, "time": at, "x": old["x"] + float(by[0]), "y": old["y"] + float(by[1])}
    work.do({"do": "foot", "player": player, "at": "between", **where})


def test_a_click_put_right_counts_for_where_men_are_followed_to(
    clicks: MadeFilm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each man is carried truly, so a ring is off by the mean of his three clicks' errors: one of them moved moves it
    by a third as much. Until that is worked out nothing is drawn as followed."""
    work, made = followed_to_the_fourth(clicks, tmp_path, monkeypatch)
    player, by, before = made.near[0], np.array([4.5, -3.0]), until_followed(work, made, 27)
    with monkeypatch.context() as held:
        held.setattr(work, "_work_out", lambda: None)
        moved(work, made, player, 0, by)
        seen = work.picture(PLAY, made.angle, 27)
        assert seen["followed"]["waiting"]
        assert not any(one.get("followed") for one in seen["guessed"])
        with pytest.raises(se.InputError, match="no man was followed"):
            work.accept_guessed(PLAY, made.angle, 27)
    work._again()
    settled_cameras(work)
    after = until_followed(work, made, 27)
    assert set(after) == set(before)
    for one in after:
        wanted = by / 3 if one == player else np.zeros(2)
        assert np.hypot(*(after[one] - before[one] - wanted)) < 0.5
    # Followed anew, nothing of what was worked out before stands.
    monkeypatch.setattr(FollowJob, "start", lambda self: None)
    cameras = work._jobs[PLAY, made.angle].cameras
    work.follow(PLAY, made.angle)
    work._jobs[PLAY, made.angle].cameras = cameras
    monkeypatch.setattr("shortedge.clicking.work.follow_on", lambda *_: {})
    assert until_followed(work, made, 27) == {}
    assert all(job is work._jobs[PLAY, made.angle] for job, *_ in work._ahead)
    work.close()


def test_men_followed_from_a_click_that_was_put_right_since_are_not_taken(
    clicks: MadeFilm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    work, made = followed_to_the_fourth(clicks, tmp_path, monkeypatch)
    job, player = work._jobs[PLAY, made.angle], made.near[0]
    monkeypatch.setattr(
        "shortedge.clicking.work.follow_man",
        lambda pictures, cameras, clicks, numbers, error, rises: {number: np.full(2, 99.0) for number in numbers},
    )
    job._follow_men()
    all_, places = len(made.near), len({one.number for one in job.men})
    number = job.men[0].number

    def offered() -> tuple[int, int, int]:
        seen = work.picture(PLAY, made.angle, number)["followed"]
        return seen["men"], seen["changed"], len(seen["seen"])

    assert places > 1
    assert offered() == (places * all_, 0, all_)
    moved(work, made, player, 9, np.array([30.0, 0.0]))  # it was another man
    assert offered() == (places * (all_ - 1), 1, all_ - 1)
    work.do({"do": "undo"})
    assert offered() == (places * all_, 0, all_)
    work.do({"do": "redo"})
    assert work.accept_men(PLAY, made.angle) == places * (all_ - 1)
    taken = {row["player"] for row in work._rows("foot", PLAY, made.angle) if row["followed"] == 1}
    assert taken == set(made.near) - {player}
    assert offered() == (0, 0, 0)
    with pytest.raises(se.InputError, match="no men were followed"):
        work.accept_men(PLAY, made.angle)
    work.close()


def test_who_is_clicked_while_all_others_are_taken_is_there_once(
    clicks: MadeFilm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A click that comes while Enter's answer is being made waits for it, and then takes his place."""
    work, made = followed_to_the_fourth(clicks, tmp_path, monkeypatch)
    player, at, usual = made.near[0], float(work.film(PLAY, made.angle).stamps[27]), work.picture
    foot = {"do": "foot", "play": PLAY, "angle": made.angle, "time": at, "player": player, "x": 300.0, "y": 200.0}
    other = threading.Thread(target=work.do, args=(foot,))

    def meanwhile(*asked: Any) -> dict[str, Any]:
        found = usual(*asked)
        other.start()
        other.join(0.1)
        return found

    monkeypatch.setattr(work, "picture", meanwhile)
    work.accept_guessed(PLAY, made.angle, 27)
    other.join()
    his = [row for row in work._rows("foot", PLAY, made.angle, at) if row["player"] == player]
    assert [(row["x"], row["y"]) for row in his] == [(300.0, 200.0)]
    work.close()


def test_what_was_clicked_a_moment_ago_is_followed_from(
    clicks: MadeFilm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """f right after the last mark, before its camera was worked out."""
    (tmp_path / "film.mp4").write_bytes(clicks.film.read_bytes())
    trace = click(replace(clicks, folder=tmp_path), [0])
    work, may = Work(trace, {clicks.angle: Film(tmp_path / "film.mp4")}, 0.3), threading.Event()
    settled_cameras(work)
    usual = work._work_out
    monkeypatch.setattr(work, "_work_out", lambda: (may.wait(30), usual()))
    monkeypatch.setattr(FollowJob, "start", lambda self: None)
    table = marks_of_field()
    table = table[table["error"] == 0]
    pixels = clicks.seen(9, table[["x", "y"]].to_numpy())
    inside = np.flatnonzero((pixels > 12).all(axis=1) & (pixels < np.array(clicks.size) - 12).all(axis=1))
    for row in inside[np.linspace(0, len(inside) - 1, 6).astype(int)]:
        where = {"play": PLAY, "angle": clicks.angle, "time": float(work.film(PLAY, clicks.angle).stamps[9])}
        place = dict(zip("xy", map(float, pixels[row]), strict=True))
        work.do({"do": "mark", **where, **place, "name": table["name"].iloc[row]})
    threading.Timer(0.1, may.set).start()
    begun = time.monotonic()
    work.follow(PLAY, clicks.angle)
    assert time.monotonic() - begun < CATCH_UP / 2  # it is told when that is done
    assert set(work._jobs[PLAY, clicks.angle].poses) == {0, 9}
    work.close()


def test_where_the_ball_was_said_to_lie_last_counts_at_once(
    served: tuple[Server, Client], monkeypatch: pytest.MonkeyPatch
) -> None:
    work = served[0].work
    table = marks_of_field().set_index("name")

    def asked_about(x: float) -> float:
        work.do({"do": "snap", "play": PLAY, "ball_x": x, "ball_y": 26.0, "direction": 1})
        return abs(float(table.loc[work.picture(PLAY, "end zone", 9)["next"]["name"], "x"]) - x)

    assert asked_about(40.0) <= 12
    settled_cameras(work)
    monkeypatch.setattr(work, "_work_out", lambda: None)
    assert asked_about(80.0) <= 12
    work.do({"do": "undo"})
    assert work._ball(PLAY)[0] == 40.0


def test_what_fails_to_be_worked_out_is_tried_again_with_the_next_act(
    served: tuple[Server, Client], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also when that act comes while it fails; and a pocket that fails leaves the doubts as they are."""
    work, usual, failed = served[0].work, Reading, []

    def fails_once(journal: Any) -> Reading:
        if not failed:
            failed.append(work.do(EVENT | {"what": "throw", "time": 1.3}))
            raise ValueError("an odd state of clicks")
        return usual(journal)

    def fails(*_: Any) -> None:
        raise ValueError("an odd play")

    monkeypatch.setattr("shortedge.clicking.work.Reading", fails_once)
    monkeypatch.setattr("shortedge.clicking.work.pocket_of", fails)
    foot = {"do": "foot", "play": PLAY, "angle": "end zone", "time": 0.3, "player": "a", "x": 10.0, "y": 20.0}
    work.do(foot)
    settled_cameras(work)
    assert failed
    state = settled(work)
    assert state["pocket"] == {"says": "cannot be worked out yet: an odd play"}
    assert ["no place of the camera is known" in doubt["says"] for doubt in state["doubts"]] == [True]


def test_a_man_written_while_the_men_are_listed_is_no_matter(
    served: tuple[Server, Client], monkeypatch: pytest.MonkeyPatch
) -> None:
    work, acts = served[0].work, cast(property, se.Trace.acts).fget
    assert acts is not None

    class Busy:
        """As read by a program that is written to by another thread, just before it answers."""

        texts = property(lambda self: acts(work.trace).texts)

        def columns(self, kind: str) -> Any:
            work.trace.person(f"new {len(work.trace)}", "offense", f"position {len(work.trace)}")
            work.trace.note(f"{LEFT_OUT}new {len(work.trace)}", play=PLAY)
            return acts(work.trace).columns(kind)

    monkeypatch.setattr(se.Trace, "acts", Busy())
    assert [man["player"] for man in work.men(PLAY)] == ["new 0"]
    assert work._left_out(PLAY)
    monkeypatch.undo()


def test_men_run_on_as_they_ran_from_click_to_click() -> None:
    job = FollowJob.__new__(FollowJob)
    job.film = cast(Film, SimpleNamespace(stamps=np.arange(60) / 30))
    places = {0: [20.0, 30.0], 9: [21.0, 30.0], 18: [22.5, 29.4], 57: [30.0, 29.4]}
    his = [Clicked(number, np.zeros(2), np.array(place)) for number, place in places.items()]
    assert np.allclose(job.speeds({"a": his[:3]})["a"], [5, -2])  # 1.5 and -0.6 yd in 0.3 s
    assert job.speeds({"once": his[:1], "long ago": his}) == {}


def test_who_begins_near_the_ball_stoops_and_comes_up_from_the_snap_on() -> None:
    """Two and a half yards along the field, seven across; the second man comes there later, as the first one leaves."""
    feet = {
        "play": np.array([0, 0, 0, 0, 1]),
        "player": np.array([1, 1, 2, 2, 3]),
        "time": np.array([1.5, 0.7, 0.7, 1.5, 0.7]),
        "place": np.array([[31.0, 30.0], [24.0, 31.0], [20.0, 40.0], [25.0, 27.0], [25.0, 27.0]]),
    }
    trace = SimpleNamespace(moment=SimpleNamespace(ball=(25.0, 26.0)), events={"end zone": {"snap": 1.0}})
    cameras = SimpleNamespace(angles={"end zone": SimpleNamespace(feet=feet)}, code={"P": 0})
    known: Any = SimpleNamespace(ways=SimpleNamespace(plays={0: trace}), cameras=cameras)
    assert stooping(known, "end zone", 0) == {1}
    job = FollowJob.__new__(FollowJob)
    job.play, job.angle, job.film = "P", "end zone", cast(Film, SimpleNamespace(nearest=lambda time: round(time * 30)))
    assert job.rises(known) == (30, 45)  # upright half a second after it
    job.angle = "sideline"  # where no snap was marked
    assert job.rises(known) == (0, 0)


@pytest.mark.full
def test_enter_takes_who_was_followed_and_a_click_beside_a_ring_moves_him(
    clicks: MadeFilm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    work, made = followed_to_the_fourth(clicks, tmp_path, monkeypatch)
    server = Server(work)
    threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True).start()
    with chromium() as browser:
        page = browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
        page.goto(server.address)
        until(page, "desk.state !== null && desk.picture !== null")
        page.evaluate("show(27)")
        until(page, "desk.number === 27 && desk.picture.number === 27")
        until(page, "desk.picture.next.what === 'followed' && desk.target === null")
        assert "Click beside each man" in page.locator("#task").inner_text()
        box = page.locator("#film").bounding_box()
        scale = box["width"] / made.size[0]
        drawn = {one["player"]: (one["x"], one["y"]) for one in page.evaluate("desk.picture.guessed")}
        alone = max(drawn, key=lambda one: min(np.hypot(*np.subtract(drawn[one], drawn[k])) for k in drawn if k != one))
        x, y = drawn[alone][0] + 6, drawn[alone][1] + 3
        page.mouse.click(box["x"] + x * scale, box["y"] + y * scale)
        until(page, "desk.picture.men.length === 1")
        moved = page.evaluate("desk.picture.men[0]")
        assert (moved["player"], moved["followed"]) == (alone, False)
        assert np.hypot(moved["x"] - x, moved["y"] - y) < 1.5
        assert page.evaluate("desk.picture.next.what") == "followed"
        assert page.evaluate("desk.picture.marks.length") >= 4  # the followed camera came with him
        page.keyboard.press("Enter")
        until(page, "desk.number > 27")  # all are there: it goes on by itself
        there = work.picture(PLAY, made.angle, 27)
        assert sorted(one["player"] for one in there["men"] if one["followed"]) == sorted(set(made.near) - {alone})
        for one in there["men"]:
            if one["player"] != alone:
                assert np.hypot(one["x"] - drawn[one["player"]][0], one["y"] - drawn[one["player"]][1]) < 0.02
        page.evaluate("show(27)")
        until(page, "desk.number === 27 && desk.picture.men.length > 1")
        page.keyboard.press("z")  # what Enter took is taken back at once
        until(page, "desk.picture.men.length === 1")
    server.shutdown()
    server.server_close()
    work.close()


def until(page: Any, says: str) -> None:
    """Waits until an expression of the page's is true; its policy forbids Playwright's own way, which evaluates."""
    for _ in range(600):
        if page.evaluate(says):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"never: {says}")


def test_a_play_is_clicked_in_a_browser(clicks: MadeFilm, served: tuple[Server, Client]) -> None:
    """A hand at the page with mouse and keys: nothing is asked of any other machine, axe finds nothing serious, and
    what it clicked is in the trace where it clicked."""
    server, _ = served
    work = server.work
    for player in clicks.near:
        work.do({"do": "person", "player": player, **{k: clicks.people[player][k] for k in ("unit", "position")}})
    with chromium() as browser:
        context = browser.new_context(viewport={"width": 1280, "height": 800}, has_touch=True)
        page = context.new_page()
        asked: list[str] = []
        said: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        server.tabs.holds("nobody-else", True)
        page.goto(server.address)
        page.get_by_role("button", name="Go on in this tab").click()
        until(page, "desk.state !== null")
        for _ in range(9):
            page.keyboard.press(".")
        until(page, "desk.number === 9")
        page.keyboard.press("n")
        page.get_by_label("Its name").fill(PLAY)
        page.get_by_role("button", name="Make it, snap here").click()
        until(page, "desk.picture !== null && desk.state.plays.length === 1")
        box = page.locator("#film").bounding_box()
        scale = box["width"] / clicks.size[0]
        number = page.evaluate("desk.number")
        table = marks_of_field()
        table = table[(table["error"] == 0) & (table["x"] % 5 == 0) & ~table["name"].str.endswith("outer")]
        pixels = clicks.seen(number, table[["x", "y"]].to_numpy())
        inside = np.flatnonzero((pixels > 12).all(axis=1) & (pixels < np.array(clicks.size) - 12).all(axis=1))
        chosen = inside[np.linspace(0, len(inside) - 1, 8).astype(int)]  # the most a page asks for
        for row in chosen:
            page.keyboard.press("m")
            page.get_by_label("Mark", exact=True).fill(table["name"].iloc[row])
            page.keyboard.press("Enter")
            page.mouse.click(box["x"] + pixels[row, 0] * scale, box["y"] + pixels[row, 1] * scale)
            until(page, f"desk.picture.marks.some((one) => one.name === {json.dumps(table['name'].iloc[row])})")
        until(page, "desk.picture.camera !== null")
        until(page, "desk.picture.next.what === 'man'")
        # A click ten pixels beside B's cross, while A is asked for, is of A: crosses may be drawn far off.
        near = page.evaluate(
            """(() => {
              const { picture, target, picked } = desk;
              desk.picture = { ...picture, offered: [{ name: "A", x: 100, y: 100 }, { name: "B", x: 150, y: 100 }] };
              desk.target = desk.picked = { name: "A" };
              const near = [140, 148, 104].map((x) => markNear(x, 100));
              desk.picked = null;
              near.push(markNear(150, 100));
              Object.assign(desk, { picture, target, picked });
              return near;
            })()"""
        )
        assert near == ["A", "B", "A", "A"]
        for said_then in ("Nothing is drawn for that yet: click it.", ""):  # Enter, and Enter held down
            page.evaluate("desk.said = ''")
            page.keyboard.down("Enter")
            assert page.evaluate("desk.said") == said_then
        page.keyboard.up("Enter")
        first = page.evaluate("desk.target.player")
        x, y = clicks.feet(first, number)
        page.mouse.click(box["x"] + x * scale, box["y"] + y * scale)
        until(page, "desk.picture.men.length === 1")
        clicked = page.evaluate("desk.picture.men[0].x")
        page.keyboard.press("ArrowRight")
        until(page, f"Math.abs(desk.picture.men[0].x - {clicked}) > 0.2")
        page.keyboard.press("z")
        until(page, f"desk.picture.men.length === 1 && Math.abs(desk.picture.men[0].x - {clicked}) < 0.01")
        # A double click is of one man, and two quick clicks are of two; three quick keys move by three steps.
        second, third = [one["player"] for one in work.men(PLAY)][1:3]
        places = [clicks.feet(player, number) for player in (second, third)]
        (x, y), (x3, y3) = ((box["x"] + u * scale, box["y"] + v * scale) for u, v in places)
        page.mouse.dblclick(x, y)
        page.mouse.click(x3, y3)
        until(page, "desk.picture.men.length === 3 && desk.last?.player === " + json.dumps(third))
        for _ in range(3):
            page.keyboard.press("ArrowDown")
        for player, (u, v) in zip((second, third), places, strict=True):
            by = 1.5 if player == third else 0.0
            near = f"one.player === {json.dumps(player)} && Math.hypot(one.x - {u}, one.y - {v} - {by}) < 0.8"
            until(page, f"desk.picture.men.some((one) => {near})")
        # Once all are there, a click beside a man moves him; a tick between the lines can be named like a crossing.
        time = float(work.film(PLAY, "end zone").stamps[number])
        for player in clicks.near:
            x, y = clicks.feet(player, number)
            if player != first:
                work.do(
                    {"do": "foot", "play": PLAY, "angle": "end zone", "time": time, "player": player, "x": x, "y": y}
                )
        page.evaluate("again()")
        until(page, "desk.picture.next.what === 'picture' && desk.target === null")
        x, y = clicks.feet(first, number) + np.array([3.0, 1.0])
        page.mouse.click(box["x"] + x * scale, box["y"] + y * scale)
        near = f"one.player === {json.dumps(first)} && Math.hypot(one.x - {x}, one.y - {y}) < 1.5"
        until(page, f"desk.picture.men.some((one) => {near})")
        assert page.evaluate("desk.picture.men.length") == len(clicks.near)
        # The button of a man's name stays while the page asks again: a press on it is not lost.
        button = page.locator("#list").get_by_role("button", name=clicks.near[-1]).element_handle()
        page.evaluate("again(true)")
        button.click()
        until(page, f"desk.target?.player === {json.dumps(clicks.near[-1])}")
        page.evaluate("scrollTo(0, 0)")
        assert page.locator("#marks option[value='left 36, lower hash outer']").count() == 1
        assert violations(page) == []
        page.keyboard.press("?")
        assert page.get_by_role("dialog", name="Keys").is_visible()
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        page.keyboard.press("Escape")
        page.set_viewport_size({"width": 820, "height": 1180})  # a tablet held upright
        assert violations(page) == []
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        sizes = page.evaluate(
            "[...document.querySelectorAll('button')].map((one) => one.getBoundingClientRect())"
            ".filter((one) => one.width).map((one) => Math.min(one.width, one.height))"
        )
        assert len(sizes) > 10
        assert min(sizes) >= 24  # WCAG 2.2, 2.5.8: 24 pixels for a finger
        page.get_by_role("button", name="Finish").click()
        until(page, "by('cover-says').textContent.startsWith('The trace is closed.')")
        page.route("**/*", lambda route: route.abort())  # as when the program has ended, which is no matter now
        page.evaluate("refresh()")
        assert page.locator("#cover-says").inner_text().startswith("The trace is closed.")
        context.close()
    assert said == [], said
    assert {urlsplit(url).netloc for url in asked if not url.startswith("blob:")} == {urlsplit(server.address).netloc}
    marks = work.trace.acts.columns("mark")
    names_clicked = [work.trace.acts.texts[code] for code in marks["mark"].tolist()]
    assert sorted(names_clicked) == sorted(table["name"].iloc[row] for row in chosen)
    for name, x, y in zip(names_clicked, marks["x"], marks["y"], strict=True):
        row = int(np.flatnonzero(table["name"] == name)[0])
        assert np.hypot(x - pixels[row, 0], y - pixels[row, 1]) < 1.5  # a screen pixel is up to a film pixel


def test_the_command_says_what_is_missing(tmp_path: Path) -> None:
    def run(*words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "shortedge.cli", "trace", *words, "--no-browser"],
            capture_output=True,
            text=True,
            cwd=tmp_path,
        )

    grey_film(tmp_path / "a.mp4", "30")
    (tmp_path / "elsewhere").mkdir()
    for words, says in (
        (("-o", "game.trace"), "--field is missing"),
        (("nofilm.mp4", "-o", "game.trace", "--field", "pro"), "no such file"),
        (("a.mp4", "-o", "elsewhere/game.trace", "--field", "pro"), "does not lie beside"),
        (("a.mp4", "a.mp4", "-o", "game.trace", "--field", "pro"), "two films"),
        (("a.mp4", "-o", "game.h5", "--field", "pro"), "ends in .trace"),
        (("a.mp4", "-o", "game.trace", "--field", "pro", "--every", "9"), "accepted: 0.05 to 2"),
    ):
        done = run(*words)
        assert done.returncode == 2, words
        assert says in done.stderr
        assert len(done.stderr.splitlines()) == 1
    assert not (tmp_path / "game.trace").exists()


def started(folder: Path, *words: str) -> tuple[subprocess.Popen[str], Client]:
    command = [sys.executable, "-m", "shortedge.cli", "trace", *words, "--no-browser"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, cwd=folder)
    assert process.stdout
    for line in process.stdout:
        if "http://" in line:
            address = urlsplit(line[line.index("http://") :].strip())
            client = Client.__new__(Client)
            client.port, client.token, client.tab = address.port or 0, address.fragment, "tab-of-the-test"
            return process, client
    raise AssertionError("no address")


def test_tables_bring_men_plays_and_films_and_a_trace_is_gone_on_with(tmp_path: Path) -> None:
    """A cut-up with both angles in one file, a play with a film of its own, and what tables say of men and snaps."""
    grey_film(tmp_path / "cutup.mp4", "30")
    grey_film(tmp_path / "p2.mp4", "25")
    (tmp_path / "people.csv").write_text("player,unit,position\nTK-63,offense,RG\nQM-94,defense,DE\n")
    (tmp_path / "snaps.csv").write_text("play,ball_x,ball_y,direction,film_time\nP1,30,25,1,0.5\nP2,40,26,-1,\n")
    (tmp_path / "films.csv").write_text("play,angle,file,film_time\nP2,end zone,p2.mp4,0.4\n")
    words = ["end zone=cutup.mp4", "sideline=cutup.mp4", "-o", "game.trace", "--field", "college"]
    tables = ["--people", "people.csv", "--snaps", "snaps.csv", "--films", "films.csv"]
    process, client = started(tmp_path, *words, *tables)
    hello = client.ask("/hello")[1]
    assert hello["field"] == "college"
    assert {angle: film["file"] for angle, film in hello["films"].items()} == {
        "end zone": "cutup.mp4",
        "sideline": "cutup.mp4",
    }
    state = client.ask("/state", {"play": "P2"})[1]
    assert [man["player"] for man in state["men"]] == ["TK-63", "QM-94"]
    plays = {one["play"]: one for one in state["plays"]}
    assert plays["P1"]["angles"]["end zone"]["events"] == {"snap": 0.5}
    assert plays["P2"]["angles"]["end zone"]["events"] == {"snap": 0.4}
    assert plays["P2"]["said"] == {"ball_x": 40.0, "ball_y": 26.0, "direction": -1}
    asked = f"/frame?play=P2&angle={quote('end zone')}&number="
    assert client.ask(asked + "47", method="GET")[0] == 200
    acts = state["acts"]
    second = subprocess.run(
        [sys.executable, "-m", "shortedge.cli", "trace", "-o", "game.trace", "--no-browser"],
        capture_output=True,
        text=True,
        cwd=tmp_path,
    )
    assert second.returncode == 2
    assert "written by another program" in second.stderr
    client.ask("/stop")
    assert process.wait(20) == 0
    process, client = started(tmp_path, "-o", "game.trace", *tables)  # said again: nothing is written twice
    client.ask("/hello")
    assert client.ask("/state", {"play": ""})[1]["acts"] == acts
    process.send_signal(signal.SIGINT)
    assert process.wait(20) in (0, 130)
    assert process.stdout
    process.stdout.close()


def test_every_play_with_a_film_of_its_own_shows_that_one(tmp_path: Path) -> None:
    for name in ("a", "b", "c"):
        grey_film(tmp_path / f"{name}.mp4", "25", count=4)
    trace = se.Trace(tmp_path / "game.trace", "pro", {"end zone": (64, 48)}, films={"end zone": "c.mp4"})
    for play, name in (("P1", "a.mp4"), ("P2", "b.mp4")):
        trace.film(play, "end zone", name)
    trace.event("P3", "snap", "end zone", 0.1)
    work = Work(trace, {"end zone": Film(tmp_path / "c.mp4")})
    assert [work.film(play, "end zone").path.name for play in ("P1", "P2", "P3")] == ["a.mp4", "b.mp4", "c.mp4"]
    assert {play: film.path.name for (play, _), film in work._plays_with_films()[1].items()} == {
        "P1": "a.mp4",
        "P2": "b.mp4",
        "P3": "c.mp4",
    }
    work.close()


def test_a_table_that_lacks_a_column_is_refused_by_name(tmp_path: Path) -> None:
    grey_film(tmp_path / "a.mp4", "30")
    (tmp_path / "people.csv").write_text("player,side\nTK-63,offense\n")
    done = subprocess.run(
        [
            *(sys.executable, "-m", "shortedge.cli", "trace", "a.mp4", "-o", "game.trace", "--field", "pro"),
            *("--people", "people.csv", "--no-browser"),
        ],
        capture_output=True,
        text=True,
        cwd=tmp_path,
    )
    assert done.returncode == 2
    assert "lacks" in done.stderr
    assert "unit" in done.stderr
    assert "Traceback" not in done.stderr
