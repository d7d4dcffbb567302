"""Rehearse the files of ``.deploy`` as far as one machine without root's services allows.

    python -m tests.by_hand.deploying             # what there is a tool for
    python -m tests.by_hand.deploying COMMIT      # upgrade from that commit and back

The units are read by systemd, nginx stands in front of a running service, a backup is made
beside it, and a data folder written by an older commit is upgraded, and put back when the
next version does not get ready: its quotes, one of them accepted, must show their total and
print the same bytes after each step. By default the older commit is the last one that shops
may have run, before quotes were packed. What cannot be tried here (no systemd running, no
container engine) is said.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from html import unescape
from http import HTTPStatus
from pathlib import Path
from urllib.parse import urlencode

import httpx

from tests.by_hand.running import ROOT, folder_for_data, start

DEPLOY = ROOT / ".deploy"
UNITS = ("stancewright.service", "stancewright-backup.service", "stancewright-backup.timer")
HTTPS, HTTP, SERVICE = 18443, 18080, 18000  # ports of the rehearsal
OLDEST = "7a4246e"  # the last version that was given out before quotes were packed
ASKED = ("knapweed", "burdock?scope=frame", "knapweed?inseam=812&stature=1750&weight=70")


def run(*words: str, **more: str) -> subprocess.CompletedProcess[str]:
    """A command, with its output."""
    return subprocess.run(
        words, capture_output=True, text=True, check=False, cwd=ROOT, env=os.environ | more
    )


def said(what: str, good: bool, detail: str = "") -> bool:
    """Print how one step went."""
    print(f"{'good' if good else 'WRONG':6}{what}" + (f"\n{detail.strip()}" if not good else ""))
    return good


def units() -> bool:
    """Systemd reads the units and finds nothing to complain of."""
    if not shutil.which("systemd-analyze"):
        print("      units: not tried, there is no systemd-analyze")
        return True
    with folder_for_data() as folder:
        for name in UNITS:
            text = (DEPLOY / name).read_text()
            text = text.replace("/opt/stancewright/current/.venv/bin/python", sys.executable)
            (folder / name).write_text(text.replace("/opt/stancewright/current", str(ROOT)))
        done = run("systemd-analyze", "verify", *(str(folder / name) for name in UNITS))
    ours = "\n".join(line for line in done.stderr.splitlines() if "stancewright" in line)
    return said("units, by systemd-analyze verify", not ours and done.returncode == 0, done.stderr)


@contextmanager
def nginx(folder: Path, port: int) -> Iterator[Path]:
    """Nginx with our file in front of a port; gives its log."""
    key, certificate = folder / "privkey.pem", folder / "fullchain.pem"
    made = ("openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj",
            "/CN=bikes.example.org", "-keyout", str(key), "-out", str(certificate))  # fmt: skip
    subprocess.run(made, check=True, capture_output=True)
    text = (DEPLOY / "nginx.conf").read_text()
    for ours, here in (
        ("/etc/ssl/stancewright", str(folder)), ("/var/log/nginx", str(folder)),
        ("listen [::]:443 ssl http2;", ""), ("listen [::]:80;", ""),
        ("listen 443", f"listen 127.0.0.1:{HTTPS}"), ("listen 80", f"listen 127.0.0.1:{HTTP}"),
        ("127.0.0.1:8000", f"127.0.0.1:{port}"),
    ):  # fmt: skip
        text = text.replace(ours, here)
    whole = folder / "whole.conf"
    whole.write_text(
        f"pid {folder}/pid; error_log {folder}/error.log; daemon off; events {{}} http {{\n"
        + "".join(
            f"{kind}_temp_path {folder}/{kind};\n"
            for kind in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
        )
        + text
        + "}\n"
    )
    tried = run("nginx", "-t", "-c", str(whole), "-e", str(folder / "error.log"))
    said("reverse proxy, by nginx -t", tried.returncode == 0, tried.stderr)
    running = subprocess.Popen(  # found by the search path, as above
        ["nginx", "-c", str(whole), "-e", str(folder / "error.log")]  # noqa: S607
    )
    time.sleep(1)
    try:
        yield folder / "stancewright.log"
    finally:
        running.send_signal(signal.SIGQUIT)
        running.wait(20)


def four_builds(client: httpx.Client) -> str:
    """The address of a build with rider, the bike ridden now and three builds beside it."""
    told = "stature=1753&inseam=823&span=1801&weight=75.5&luggage=18"
    whole = []
    for size in ("s", "m", "l", "xl"):
        page = client.get(f"/build/knapweed?size={size}&{told}").text
        links = re.findall(r'href="/table/(knapweed[^"]*)"', page)
        whole.append(unescape(max(links, key=len)))
    present = urlencode({"way": "ours", "ours": f"https://bikes.example.org/build/{whole[0]}"})
    more = [("present", present), *(("beside", each) for each in whole[1:])]
    return f"/build/{whole[0]}&{urlencode(more)}"


def proxied() -> bool:
    """A visitor through nginx: https in links, no figures, a log that names nobody."""
    if not shutil.which("nginx"):
        print("      reverse proxy: not tried, there is no nginx")
        return True
    with folder_for_data() as data, folder_for_data() as folder:
        folder.chmod(0o755)
        token = "figures for our own eyes"
        service = start(data, TRUSTED_PROXIES="127.0.0.1", BEHIND_TLS="true", METRICS_TOKEN=token)
        try:
            with nginx(folder, int(service.address.rpartition(":")[2])) as log:
                base, head = f"https://127.0.0.1:{HTTPS}", {"Host": "bikes.example.org"}
                with httpx.Client(base_url=base, verify=False, headers=head) as client:  # noqa: S501
                    page = client.get("/table/knapweed")
                    client.get("/fit/knapweed?inseam=812")
                    long = client.get(four_builds(client))
                    longer = client.get(f"/build/knapweed?x={'a' * 20_000}")
                    client.get("/q/secretsecretsecretsecret")
                    figures = client.get("/metrics", headers={"Authorization": f"Bearer {token}"})
                time.sleep(0.5)
                written = log.read_text()
        finally:
            service.stop()
    return all((
        said("links through the proxy are https", "https://bikes.example.org" in page.text),
        said("strict transport", "strict-transport-security" in page.headers),
        said("four whole builds with rider", long.status_code == HTTPStatus.OK, str(long)),
        said("an address too long is told so", longer.status_code == HTTPStatus.REQUEST_URI_TOO_LONG
             and "too long" in longer.text, longer.text[:200]),
        said("no figures through the proxy", figures.status_code == 404),
        said("the proxy's log names no body and no link", bool(written)
             and not any(word in written for word in ("812", "secret", "127.0.0.1")), written),
        said("and leads to the service's", page.headers["x-request-id"] in written, written),
    ))  # fmt: skip


def backed_up() -> bool:
    """The backup script beside a running service."""
    with folder_for_data() as data, folder_for_data() as copies:
        service = start(data)
        try:
            done = run(str(DEPLOY / "backup"), str(copies), PYTHON=sys.executable,
                       DATA_FOLDER=str(data))  # fmt: skip
        finally:
            service.stop()
        kept = sorted(path.suffix or path.name for path in copies.iterdir())
    whole = done.returncode == 0 and kept == [".backup", "secret_key"]
    return said("scheduled backup, read again", whole, f"{kept} {done.stdout} {done.stderr}")


def upgraded(commit: str) -> bool:
    """An older commit's data under this version, and back from one that does not start."""
    with folder_for_data() as home:
        old, data, archive = home / "old", home / "data", home / "old.tar"
        taken = run("git", "archive", "--output", str(archive), commit)
        if taken.returncode:
            return said(f"the program as of {commit}", good=False, detail=taken.stderr)
        old.mkdir()
        shutil.unpack_archive(archive, old, filter="data")
        return _upgraded(home, old, data)


def _upgraded(home: Path, old: Path, data: Path) -> bool:
    new, broken = home / "new", home / "broken"
    new.symlink_to(ROOT)
    (broken / "webapp").mkdir(parents=True)
    (broken / "webapp/__main__.py").write_text("raise SystemExit('this version does not start')\n")
    (home / "current").symlink_to(old)
    pid, log = home / "pid", home / "log"
    (home / "start").write_text(
        f"#!/bin/sh\ncd {home}/current && {sys.executable} -m webapp --port {SERVICE} "
        f">>{log} 2>&1 & echo $! > {pid}\n"
    )
    (home / "stop").write_text(
        f"#!/bin/sh\np=$(cat {pid}); kill $p 2>/dev/null; "
        "while kill -0 $p 2>/dev/null; do sleep 0.2; done; true\n"
    )
    for script in ("start", "stop"):
        (home / script).chmod(0o755)
    address = f"http://127.0.0.1:{SERVICE}"
    more = {
        "ROOT_FOLDER": str(home), "BACKUPS": str(home / "copies"), "ADDRESS": address,
        "START": str(home / "start"), "STOP": str(home / "stop"), "PYTHON": sys.executable,
        "DATA_FOLDER": str(data), "LOG_LEVEL": "warning",
    }  # fmt: skip
    run(str(home / "start"), **more)
    try:
        before = _papers(address, _quotes_asked(address, data / "configurator.sqlite"))
        forth = run(str(DEPLOY / "upgrade"), str(new), **more)
        good = said("upgrade", forth.returncode == 0, forth.stderr + log.read_text()[-2000:])
        good &= _same(before, address, "an older version's quotes print the same bytes")
        back = run(str(DEPLOY / "upgrade"), str(broken), **more)
        left = back.returncode == 1 and "runs again" in back.stderr
        good &= said("a version that does not start is left again", left, back.stderr)
        return good & _same(before, address, "and nothing is lost by it")
    finally:
        run(str(home / "stop"))


Papers = dict[str, tuple[str, bytes]]
"""What the customers of some quotes have, by link: the total in words, and the PDF."""


def _papers(address: str, links: list[str]) -> Papers:
    found = {}
    for link in links:
        page = httpx.get(address + link, timeout=60)
        paper = httpx.get(f"{address}{link}/sheet.pdf", timeout=60)
        total = re.search(r"Total[^0-9]*([0-9][0-9,.]*)", re.sub(r"<[^>]+>", " ", page.text))
        words = f"{page.status_code} {paper.status_code} {total[1] if total else 'no total'}"
        found[link] = (words, paper.content)
    return found


def _same(before: Papers, address: str, what: str) -> bool:
    after = _papers(address, list(before))
    wrong = [f"{before[link][0]} became {after[link][0]}" for link in before
             if before[link] != after[link] or not before[link][0].startswith("200 200 ")
             or before[link][0].endswith("no total")]  # fmt: skip
    return said(f"{what} ({', '.join(words[8:] for words, _ in after.values())})", not wrong,
                "\n".join(wrong))  # fmt: skip


def _quotes_asked(address: str, database: Path) -> list[str]:
    """Quotes of several kinds, the first of them accepted, the second with a question."""
    for _ in range(90):
        try:
            httpx.get(address + "/health")
            break
        except httpx.HTTPError:
            time.sleep(1)
    links = []
    for number, build in enumerate(ASKED):
        form = {"name": "Ada Marl", "mail": "ada@marl.example", "note": "", "key": f"{number}" * 24}
        answer = httpx.post(f"{address}/quote/{build}", data=form, timeout=60)
        links.append(answer.headers["location"].partition("#")[0])
    _confirm(database)
    form = {"version": "1", "accepted_by": "Ada Marl", "key": "a" * 24,
            "address": "Mill Lane 3\n4051 Reedham", "agreed": "yes"}  # fmt: skip
    done = httpx.post(f"{address}{links[0]}/accept", data=form, timeout=60)
    accepted = done.status_code == HTTPStatus.SEE_OTHER
    said("a quote of the older version is accepted", accepted, done.text[:2000])
    httpx.post(f"{address}{links[1]}/question", data={"text": "When?", "key": "q" * 24}, timeout=60)
    return links


def _confirm(database: Path) -> None:
    """The shop confirms every quote, in versions that ask for it before an order."""
    with closing(sqlite3.connect(database)) as connection, connection:
        columns = {row[1] for row in connection.execute("PRAGMA table_info(quote)")}
        if "unapproved" in columns:
            connection.execute("UPDATE quote SET unapproved = 0")


def main(words: list[str]) -> int:
    """Every step, and whether all were good."""
    steps = [units(), proxied(), backed_up(), upgraded(words[0] if words else OLDEST)]
    print("      container file: not tried, it needs a container engine and its images")
    return 0 if all(steps) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
