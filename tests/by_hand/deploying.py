"""Rehearse the files of ``.deploy`` as far as one machine without root's services allows.

    python -m tests.by_hand.deploying             # what there is a tool for
    python -m tests.by_hand.deploying COMMIT      # upgrade from that commit and back

The units are read by systemd, nginx stands in front of a running service, a backup is made
beside it, and a data folder written by an older commit is upgraded, and put back when the
next version does not get ready. By default the older commit is the last one before the newest
migration. What cannot be tried here (no systemd running, no container engine) is said.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx

from tests.by_hand.running import ROOT, folder_for_data, start

DEPLOY = ROOT / ".deploy"
UNITS = ("stancewright.service", "stancewright-backup.service", "stancewright-backup.timer")
HTTPS, HTTP, SERVICE = 18443, 18080, 18000  # ports of the rehearsal


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
                    client.get("/q/secretsecretsecretsecret")
                    figures = client.get("/metrics", headers={"Authorization": f"Bearer {token}"})
                time.sleep(0.5)
                written = log.read_text()
        finally:
            service.stop()
    return all((
        said("links through the proxy are https", "https://bikes.example.org" in page.text),
        said("strict transport", "strict-transport-security" in page.headers),
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


def before_newest_migration() -> str:
    """The last commit before the newest migration came."""
    versions = sorted((ROOT / "webapp/migrations/versions").glob("v*.py"))
    words = ("git", "log", "--diff-filter=A", "--format=%H", "-1", "--", str(versions[-1]))
    return run(*words).stdout.strip() + "^"


def upgraded(commit: str) -> bool:
    """An older commit's data under this version, and back from one that does not start."""
    with folder_for_data() as home:
        old, data = home / "old", home / "data"
        run("git", "worktree", "add", "--detach", str(old), commit)
        try:
            return _upgraded(home, old, data)
        finally:
            run("git", "worktree", "remove", "--force", str(old))


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
    archive = "webapp.archive" if (old / "webapp/archive").exists() else "webapp.keeping"
    more = {
        "ROOT_FOLDER": str(home), "BACKUPS": str(home / "copies"), "ADDRESS": address,
        "START": str(home / "start"), "STOP": str(home / "stop"), "PYTHON": sys.executable,
        "DATA_FOLDER": str(data), "ARCHIVE": archive, "LOG_LEVEL": "warning",
    }  # fmt: skip
    run(str(home / "start"), **more)
    try:
        asked = _ask_for_quote(address)
        forth = run(str(DEPLOY / "upgrade"), str(new), **more)
        good = said("upgrade", forth.returncode == 0, forth.stderr + log.read_text()[-2000:])
        there = httpx.get(address + asked, timeout=60)
        what = "an older version's quote afterwards"
        good &= said(what, "Ada Marl" in there.text, f"answer {there.status_code}")
        more["ARCHIVE"] = "webapp.archive"
        back = run(str(DEPLOY / "upgrade"), str(broken), **more)
        left = back.returncode == 1 and "runs again" in back.stderr
        good &= said("a version that does not start is left again", left, back.stderr)
        there = httpx.get(address + asked, timeout=60)
        return good & said("and nothing is lost by it", "Ada Marl" in there.text)
    finally:
        run(str(home / "stop"))


def _ask_for_quote(address: str) -> str:
    for _ in range(90):
        try:
            httpx.get(address + "/health")
            break
        except httpx.HTTPError:
            time.sleep(1)
    form = {"name": "Ada Marl", "mail": "ada@marl.example", "note": "", "key": "u" * 24}
    answer = httpx.post(address + "/quote/knapweed", data=form, timeout=60)
    return answer.headers["location"].partition("#")[0]


def main(words: list[str]) -> int:
    """Every step, and whether all were good."""
    commit = words[0] if words else before_newest_migration()
    steps = [units(), proxied(), backed_up(), upgraded(commit)]
    print("      container file: not tried, it needs a container engine and its images")
    return 0 if all(steps) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
