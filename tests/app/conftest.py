"""A running ``bodytest open`` on a real socket, in a process of its own, and raw requests to it."""

import http.client
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from tests.cli.conftest import run as run  # noqa: PLC0414 (fixtures are shared)

SHEETS = Path(__file__).parents[2] / "sheets"


@dataclass(frozen=True)
class Answer:
    status: int
    headers: dict[str, str]
    text: str


@dataclass
class Running:
    """The program with a folder of its own."""

    process: "subprocess.Popen[str]"
    folder: Path
    address: str
    """As printed, with the secret."""

    @property
    def port(self) -> int:
        return urlsplit(self.address).port or 0

    @property
    def secret(self) -> str:
        return self.address.partition("secret=")[2]

    @property
    def origin(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def ask(self, path: str, method: str = "GET", *, body: bytes | None = None, **headers: str) -> Answer:
        """Send one request as it is; ``Host`` is that of the server unless another is given."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        with closing(connection):
            return self._exchange(connection, path, method, body, headers)

    def _exchange(
        self,
        connection: http.client.HTTPConnection,
        path: str,
        method: str,
        body: bytes | None,
        headers: dict[str, str],
    ) -> Answer:
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        sent = {"Host": f"127.0.0.1:{self.port}"} | {name.replace("_", "-"): text for name, text in headers.items()}
        if body is not None and "Content-Length" not in sent:
            sent["Content-Length"] = str(len(body))
        for name, text in sent.items():
            connection.putheader(name, text)
        connection.endheaders(body)
        answer = connection.getresponse()
        return Answer(answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read().decode())

    def cookie(self) -> str:
        return (
            self.ask(urlsplit(self.address)._replace(scheme="", netloc="").geturl()).headers["set-cookie"].split(";")[0]
        )

    def read(self, path: str) -> Answer:
        return self.ask(path, Cookie=self.cookie())

    def send(self, path: str, body: bytes, kind: str = "application/x-www-form-urlencoded") -> Answer:
        return self.ask(
            path, "POST", body=body, Cookie=self.cookie(), Origin=self.origin, Content_Type=kind
        )  # fmt: skip

    def upload(self, name: str, content: bytes) -> Answer:
        head = f'--x\r\nContent-Disposition: form-data; name="sheet"; filename="{name}"\r\n\r\n'.encode()
        return self.send("/sheets", head + content + b"\r\n--x--\r\n", "multipart/form-data; boundary=x")

    def stop(self) -> str:
        """End it as Ctrl-C does and return all that it said."""
        self.process.send_signal(signal.SIGINT)
        return self.process.communicate(timeout=20)[0]


def start(folder: Path, names: Sequence[str], options: Sequence[str] = ()) -> Running:
    """Start the program on a new folder with some of the demo sheets."""
    folder.mkdir()
    for name in names:
        shutil.copy(SHEETS / name, folder / name)
    command = [sys.executable, "-m", "bodytest", "open", str(folder), "--no-browser", *options]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    assert process.stdout is not None
    lines = process.stdout.readline(), process.stdout.readline()
    found = re.search(r"http://\S+", lines[0])
    assert found, lines
    assert lines[1] == "Close the page, or press Ctrl-C here, to end.\n"
    return Running(process, folder, found.group())


def end(running: Running) -> None:
    if running.process.poll() is None:
        running.process.kill()
        running.process.communicate()


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Callable[..., Running]]:
    """Start the program as often as a test likes."""
    started: list[Running] = []

    def one_more(*names: str, options: Sequence[str] = ()) -> Running:
        started.append(start(tmp_path / f"sheets-{len(started)}", names, options))
        return started[-1]

    yield one_more
    for one in started:
        end(one)


@pytest.fixture(scope="module")
def only(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    one = start(tmp_path_factory.mktemp("open") / "sheets", ["demo-complete.xlsx"])
    yield one
    end(one)


@pytest.fixture
def running(only: Running) -> Iterator[Running]:
    """One program for all tests of a module; what a test lays down in its folder is removed afterwards."""
    yield only
    for path in only.folder.iterdir():
        if path.name != "demo-complete.xlsx":
            path.unlink()
