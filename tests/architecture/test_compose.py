"""Each service of docker-compose.yml, by its very command, as a process on this machine.

No container engine runs here, so what the image would hold is laid out in a folder as the
Dockerfile copies it, and the commands run there, against a real PostgreSQL and Redis started by
their own commands of the same file. Only addresses and ports are substituted; the fixture `rig`
lists them. What the images bring is stood in for: this environment's Python for that of the image,
and initdb for the entry point of the database's image.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.architecture import image
from tests.architecture.composed import (
    SECRETS,
    Rig,
    free_port,
    postgres_folder,
    prepare_database,
)
from tests.environment import need_program

pytestmark = [pytest.mark.postgres, pytest.mark.slow]

SERVICES = ("db", "redis", "migrate", "web", "worker", "beat")


@pytest.fixture(scope="module")
def rig() -> Iterator[Rig]:
    need_program("redis-server")
    need_program("setpriv")
    binaries = postgres_folder()
    folder = Path(tempfile.mkdtemp(prefix="resinwright-compose-"))
    folder.chmod(0o755)
    (folder / "redis").mkdir()
    prepare_database(folder / "db")
    image.lay_out(folder / "app")
    (folder / "app" / "var").mkdir()
    database, queue, web = free_port(), free_port(), free_port()
    rig = Rig(
        folder,
        image.compose()["services"],
        {
            "db:5432": f"127.0.0.1:{database}",
            "port=5432": f"port={database}",
            "redis:6379": f"127.0.0.1:{queue}",
            "6379": str(queue),
            "0.0.0.0:8000": f"127.0.0.1:{web}",
            "127.0.0.1:8000": f"127.0.0.1:{web}",
        },
        os.pathsep.join([str(Path(sys.executable).parent), binaries, os.environ["PATH"]]),
        SECRETS | {"RESINWRIGHT_HOSTS": "yard.example", "RESINWRIGHT_SWEEP_SECONDS": "5"},
    )
    try:
        yield rig
    finally:
        for process in rig.running.values():
            process.terminate()
        for process in rig.running.values():
            try:
                process.wait(10)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
        shutil.rmtree(folder, ignore_errors=True)


def test_the_file_has_the_services_that_this_test_runs() -> None:
    services = image.compose()["services"]

    assert set(services) == set(SERVICES)
    for name, service in services.items():
        assert isinstance(service["command"], list), name
        assert ("healthcheck" in service) is (name != "migrate"), name


def test_only_addresses_and_ports_are_substituted(rig: Rig) -> None:
    changed = {
        (old, new)
        for name in SERVICES
        for old, new in zip(rig.services[name]["command"], rig.command(name), strict=True)
        if old != new
    }

    assert {old for old, _ in changed} == {"port=5432", "6379", "0.0.0.0:8000"}


def test_the_databases_start_by_their_commands_and_are_well(rig: Rig) -> None:
    for name in ("db", "redis"):
        assert rig.check(name).returncode != 0, "the health check must be able to fail"
        rig.start(name)
        rig.wait_until_well(name)


def test_static_files_are_collected_as_in_the_image(rig: Rig) -> None:
    own, command = image.static_step()
    target = rig.folder / "app" / "staticfiles"
    environment = image.image_environment() | own | {"RESINWRIGHT_STATIC_ROOT": str(target)}

    done = subprocess.run(
        command,
        cwd=rig.folder / "app",
        env=environment | {"PATH": rig.path},
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 0, done.stderr
    assert (target / "staticfiles.json").exists()


def test_migrate_ends_well(rig: Rig) -> None:
    assert rig.start("migrate").wait(120) == 0, rig.log("migrate")


def test_web_serves_and_is_well(rig: Rig) -> None:
    rig.start("web")
    rig.wait_until_well("web")
    address = rig.check_command("web")[-1]
    headers = {"Host": "yard.example", "X-Forwarded-Proto": "https"}
    page = urllib.request.Request(address.replace("/healthz", "/accounts/login/"), headers=headers)

    with urllib.request.urlopen(page, timeout=10) as answer:
        assert answer.status == 200
        assert "default-src 'self'" in answer.headers["Content-Security-Policy"]
        assert answer.headers["Strict-Transport-Security"]
        assert b"</form>" in answer.read()


def test_web_answers_to_no_other_name(rig: Rig) -> None:
    address = rig.check_command("web")[-1]
    request = urllib.request.Request(address, headers={"Host": "elsewhere.example"})

    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(request, timeout=10)

    assert refused.value.code == 400


def test_worker_and_beat_are_well_and_work_reaches_the_worker(rig: Rig) -> None:
    for name in ("worker", "beat"):
        assert rig.check(name).returncode != 0, "the health check must be able to fail"
        rig.start(name)
    for name in ("worker", "beat"):
        rig.wait_until_well(name)

    end = time.monotonic() + 30
    while "succeeded" not in rig.log("worker"):
        assert time.monotonic() < end, rig.log("beat") + rig.log("worker")
        time.sleep(0.3)


@pytest.mark.parametrize("name", ["beat", "worker", "web", "redis", "db"])
def test_a_service_that_is_told_to_stop_ends_in_order(rig: Rig, name: str) -> None:
    process = rig.running[name]
    assert process.poll() is None, rig.log(name)

    process.terminate()

    assert process.wait(30) == 0, rig.log(name)
