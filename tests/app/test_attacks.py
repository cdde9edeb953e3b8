"""A table of attacks, one test each, on the program as it runs: real sockets, raw requests."""

import socket
import subprocess
from pathlib import Path

import pytest


def files_of(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.core
def test_nothing_is_shown_without_the_secret(running):
    for path in ("/", "/static/page.css", "/presence", "/no-such-page"):
        answer = running.ask(path)
        assert answer.status == 403
        assert "This page opens only for the browser in which bodytest was opened." in answer.text
        assert "demo-complete" not in answer.text


@pytest.mark.parametrize("secret", ["", "x", "wrong" * 9, "%FF%00"])
def test_a_wrong_secret_gets_no_cookie(running, secret):
    answer = running.ask(f"/enter?secret={secret}")
    assert answer.status == 403
    assert "set-cookie" not in answer.headers


def test_a_wrong_cookie_opens_nothing(running):
    name = running.cookie().partition("=")[0]
    for cookie in (f"{name}={running.secret}", f"{name}=x", f"{name}=", "x", 'a="'):
        assert running.ask("/", Cookie=cookie).status == 403


def test_the_secret_becomes_a_cookie_of_its_own_and_leaves_the_address(running):
    answer = running.ask(f"/enter?secret={running.secret}")
    assert (answer.status, answer.headers["location"]) == (303, "/")
    assert answer.headers["referrer-policy"] == "no-referrer"
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert running.secret.lower() not in cookie


@pytest.mark.parametrize(
    "host", ["evil.example", "localhost:{port}", "127.0.0.1", "127.0.0.1:80", "127.0.0.1.evil.example:{port}", ""]
)
def test_another_host_name_leads_nowhere(running, host):
    """Rebinding: a name of another site that leads to this machine."""
    answer = running.ask("/", Host=host.format(port=running.port), Cookie=running.cookie())
    assert answer.status in (400, 421)
    assert "demo-complete" not in answer.text
    assert running.ask(f"/enter?secret={running.secret}", Host=host.format(port=running.port)).status in (400, 421)


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", "http://127.0.0.1:1", "https://127.0.0.1:{port}", None]
)
def test_a_form_of_another_site_does_nothing(running, origin):
    before = files_of(running.folder)
    said = {} if origin is None else {"Origin": origin.format(port=running.port)}
    answer = running.ask("/blank", "POST", body=b"name=x&bars=3", Cookie=running.cookie(), **said,
                         Content_Type="application/x-www-form-urlencoded")  # fmt: skip
    assert answer.status == 403
    assert "Another page or program sent you here, so nothing was done." in answer.text
    assert files_of(running.folder) == before


@pytest.mark.parametrize("origin", ["http://evil.example", "null", None])
def test_a_plan_sent_by_another_site_writes_no_workbook(running, origin):
    before = files_of(running.folder)
    said = {"Origin": origin} if origin else {}
    answer = running.ask("/trial", "POST", body=b"body=x&to-know=size&cone=6", Cookie=running.cookie(), **said,
                         Content_Type="application/x-www-form-urlencoded")  # fmt: skip
    assert answer.status == 403
    assert files_of(running.folder) == before


def test_a_planned_workbook_stays_in_the_folder_whatever_its_name_says(running):
    for name in (b"../../out", b"/tmp/out", b"..%5Cout"):
        assert running.send("/trial", b"body=x&to-know=size&cone=6&name=" + name).status == 303
    assert [path.name for path in running.folder.parent.iterdir()] == [running.folder.name]
    assert all("out" in path.name for path in running.folder.iterdir() if path.name != "demo-complete.xlsx")


@pytest.mark.parametrize("address", ["/trial", "/trial/plan.json", "/sheet/85b38d5bba080c13/kit.pdf"])
def test_the_pages_before_a_test_open_for_nobody_else(running, address):
    assert running.ask(address).status == 403
    assert running.ask(address, Cookie=running.cookie(), Sec_Fetch_Site="cross-site").status == 403


def test_what_is_typed_into_a_plan_is_shown_as_text(running):
    text = running.read("/trial?body=%3Cscript%3Ealert(1)%3C/script%3E&to-know=size&cone=6&known=%22%3E%3Cb%3E").text
    assert "<script>alert" not in text
    assert '"><b>' not in text


@pytest.mark.parametrize("where", ["cross-site", "same-site"])
def test_a_page_of_another_site_or_port_reads_nothing(running, where):
    assert running.ask("/", Cookie=running.cookie(), Sec_Fetch_Site=where).status == 403


ESCAPES = (
    "/sheet/../../etc/passwd/check", "/sheet/..%2f..%2fetc%2fpasswd/check", "/sheet/demo-complete.xlsx/check",
    "/static/../server.py", "/static/..%2fserver.py", "/static//etc/passwd", "//etc/passwd", "/%00",
)  # fmt: skip


@pytest.mark.parametrize("path", ESCAPES)
def test_no_address_leads_out_of_the_folder(running, path):
    answer = running.read(path)
    assert answer.status == 404
    assert "root:" not in answer.text
    assert "import " not in answer.text


@pytest.mark.parametrize(
    "name", ["../out.csv", "..\\\\out.csv", "/tmp/out.csv", "C:\\\\out.csv", ".hidden.csv", "~$out.csv"]
)
def test_a_sheet_is_copied_into_the_folder_whatever_its_name_says(running, name):
    assert running.upload(name, b"bar,wet length (mm)\n1,100\n").status == 303
    new = {path.name for path in running.folder.iterdir()} - {"demo-complete.xlsx"}
    assert len(new) == 1
    assert not next(iter(new)).startswith((".", "~"))
    assert [path.name for path in running.folder.parent.iterdir()] == [running.folder.name]


def test_a_sheet_that_is_copied_in_replaces_nothing(running):
    before = files_of(running.folder)
    assert running.upload("demo-complete.xlsx", b"other").status == 303
    after = files_of(running.folder)
    assert before.items() <= after.items()
    assert after["demo-complete (2).xlsx"] == b"other"


def test_a_file_that_is_no_sheet_by_its_name_is_not_copied(running):
    for name in ("run.exe", "notes.txt", "sheet", "page.html"):
        answer = running.upload(name, b"MZ")
        assert answer.status == 422
        assert f"{name} is not named as a sheet, so it was not copied." in answer.text
    assert len(files_of(running.folder)) == 1


def test_what_is_too_large_is_refused_with_a_sentence_and_not_kept(running):
    """200 MB, sent to the end, as a browser does."""
    answer = running.upload("large.csv", b"1" * (200 << 20))
    assert answer.status == 413
    assert "That is more than 64 MB, so it was not taken." in answer.text
    assert len(files_of(running.folder)) == 1
    status = Path(f"/proc/{running.process.pid}/status").read_text()
    assert int(status.partition("VmHWM:")[2].split()[0]) < 400_000  # kB: the pages themselves, not the 200 MB besides


def test_an_upload_that_does_not_say_how_large_it_is_is_refused(running):
    answer = running.ask("/sheets", "POST", body=b"0\r\n\r\n", Cookie=running.cookie(), Origin=running.origin,
                         Transfer_Encoding="chunked", **{"Content-Length": "5"})  # fmt: skip
    assert answer.status in (400, 411)


def test_names_of_files_are_shown_as_text(running):
    script = "<script>alert(1)</script>"
    (running.folder / f"{script.replace('/', '∕')}&'\".csv").write_text("bar\n1\n")
    text = running.read("/").text
    assert "&lt;script&gt;alert(1)" in text
    assert "<script>alert" not in text


def test_each_answer_keeps_to_itself(running):
    for answer in (running.read("/"), running.ask("/"), running.read("/nowhere"), running.read("/static/app.js")):
        assert "default-src 'none'" in answer.headers["content-security-policy"]
        assert "unsafe" not in answer.headers["content-security-policy"]
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "same-origin"
        assert answer.headers["cache-control"] == "no-store"
        assert "server" not in answer.headers


def test_only_this_machine_is_listened_to(running):
    listed = subprocess.run(
        ["ss", "-Hltn", f"sport = :{running.port}"], capture_output=True, text=True, check=True
    ).stdout
    assert [line.split()[3] for line in listed.splitlines()] == [f"127.0.0.1:{running.port}"]
    for family, address in ((socket.AF_INET, "127.0.0.2"), (socket.AF_INET6, "::1")):
        with socket.socket(family) as other, pytest.raises(OSError):  # noqa: PT011 (refused, or no such family)
            other.connect((address, running.port))


def test_the_secret_is_printed_once_and_stands_in_no_other_line_nor_page(opened):
    running = opened("demo-complete.xlsx")
    pages = [running.read("/").text, running.ask("/enter?secret=wrong").text, running.read("/nowhere").text]
    running.ask("/", "POST", body=b"")
    said = running.stop()
    assert said.splitlines() == ["Closed."]
    assert not any(running.secret in page for page in pages)


def test_a_method_that_no_page_has_is_refused(running):
    assert running.ask("/", "DELETE", Cookie=running.cookie(), Origin=running.origin).status == 405
    assert running.ask("/enter", "POST", body=b"", Origin=running.origin).status == 403
