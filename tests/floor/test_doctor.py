"""What the doctor says, and that it never calls well what it could not look at."""

import json
import socketserver
import subprocess
import sys
import threading
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
import time_machine
from celery import current_app
from django.core.cache import cache
from django.core.management import call_command
from django.db import transaction
from django.db.migrations.recorder import MigrationRecorder
from pytest_django import Settings
from time_machine import Traveller

from shop.core import trail
from shop.core.fonts import bundled_font
from shop.core.models import DueWork
from shop.core.tasks import sweep_due_work
from shop.floor.doctor import CHECKS, examine, machine
from shop.floor.doctor.answer import State
from shop.people.models import Customer, User
from tests.conftest import actor_for
from tests.core.running import OwnShop, free_port
from tests.people.test_second_factor import turn_on


def state_of(name: str) -> State:
    (check,) = examine(name)
    return check.state


def words_of(name: str) -> str:
    (check,) = examine(name)
    return check.says


class Letterbox(socketserver.StreamRequestHandler):
    """As much of a mail server as opening a connection needs (RFC 5321)."""

    def handle(self) -> None:
        self.wfile.write(b"220 mail.example\r\n")
        for line in self.rfile:
            done = line.upper().startswith(b"QUIT")
            self.wfile.write(b"221 bye\r\n" if done else b"250 mail.example\r\n")
            if done:
                return


@pytest.fixture
def mail_port() -> Iterator[int]:
    with socketserver.ThreadingTCPServer(("127.0.0.1", 0), Letterbox) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield int(server.server_address[1])
        server.shutdown()


@pytest.fixture
def no_broker(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A file stands where the broker's folder should be."""
    (tmp_path / "broker").write_text("")
    monkeypatch.setitem(current_app.conf.broker_transport_options, "folder", str(tmp_path / "broker"))


@pytest.mark.usefixtures("db")
def test_a_sound_database_with_its_tables_is_well() -> None:
    assert [state_of("database"), state_of("tables")] == [State.OK, State.OK]


@pytest.mark.usefixtures("db")
def test_it_counts_missing_changes_of_the_tables() -> None:
    MigrationRecorder.Migration.objects.filter(app="sessions").delete()
    assert state_of("tables") is State.MEND
    assert words_of("tables") == "1 changes of the tables are missing. Run: manage.py migrate"


def test_what_cannot_be_looked_at_is_undecided_and_a_database_that_is_away_must_be_mended(tmp_path: Path) -> None:
    away = OwnShop(tmp_path, WICKLINE_DATABASE_URL=f"postgres://wickline@127.0.0.1:{free_port()}/wickline")
    done = away.manage("doctor", "--json", check=False)
    states = {check["name"]: check["state"] for check in json.loads(done.stdout)}
    assert done.returncode == 1
    assert states["database"] == "mend"
    assert {states[name] for name in ("tables", "clock", "owner", "background work")} == {"undecided"}
    assert states["broker"] == "ok"


def test_a_message_goes_through_the_broker_and_nothing_is_left_of_it(tmp_path: Path) -> None:
    assert state_of("broker") is State.OK
    folder = Path(current_app.conf.broker_transport_options["folder"])
    assert not list(folder.rglob("*doctor*"))


@pytest.mark.usefixtures("no_broker")
def test_a_broker_that_is_away_must_be_mended() -> None:
    assert state_of("broker") is State.MEND
    assert "correct WICKLINE_BROKER_URL" in words_of("broker")


@pytest.mark.usefixtures("db")
def test_a_worker_is_alive_when_it_swept_lately(frozen: time_machine.Traveller) -> None:
    cache.delete("worker-seen-at")
    assert state_of("worker") is State.ADVICE
    sweep_due_work()
    frozen.shift(timedelta(seconds=4))
    assert words_of("worker") == "A worker swept 4 s ago."
    frozen.shift(timedelta(minutes=10))
    assert state_of("worker") is State.MEND


@pytest.mark.usefixtures("db")
def test_background_work_that_was_given_up_is_named() -> None:
    assert state_of("background work") is State.OK
    DueWork.objects.create(task="planning.replan", subject="7", state=DueWork.State.FAILED, error="OSError: no paper")
    assert state_of("background work") is State.MEND
    assert "planning.replan: OSError: no paper" in words_of("background work")


def test_a_clock_behind_the_trail_must_be_mended(frozen: time_machine.Traveller, ada: Customer, ottilie: User) -> None:
    with transaction.atomic():
        trail.write(ada, actor_for(ottilie), "written_up")
    assert state_of("clock") is State.OK
    frozen.shift(timedelta(hours=-3))
    assert state_of("clock") is State.MEND
    assert "Set the machine's clock" in words_of("clock")


def test_it_says_when_the_disk_fills(monkeypatch: pytest.MonkeyPatch) -> None:
    usage = SimpleNamespace(total=1, used=1, free=50 * 1024**2)
    monkeypatch.setattr(machine.shutil, "disk_usage", lambda _folder: usage)
    assert state_of("disk") is State.MEND
    usage.free = 500 * 1024**2
    assert state_of("disk") is State.ADVICE
    assert words_of("disk").startswith("500 MB are free")
    usage.free = 5 * 1024**3
    assert state_of("disk") is State.OK


def test_a_data_folder_that_is_not_there_must_be_mended(settings: Settings, tmp_path: Path) -> None:
    assert state_of("data folder") is State.OK
    settings.DATA_DIR = tmp_path / "gone"
    assert state_of("data folder") is State.MEND


def test_it_names_the_scripts_that_labels_cannot_show(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(machine, "find_font", bundled_font)
    assert state_of("fonts") is State.ADVICE
    assert "Cyrillic" in words_of("fonts")
    assert "fonts-dejavu-core" in words_of("fonts")


def test_without_a_mail_server_messages_go_to_files_and_it_says_where(settings: Settings, tmp_path: Path) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    settings.EMAIL_FILE_PATH = str(tmp_path)
    assert state_of("mail") is State.ADVICE
    assert str(tmp_path) in words_of("mail")
    settings.PRODUCTION = True
    assert state_of("mail") is State.MEND


def test_it_talks_to_the_mail_server(settings: Settings, mail_port: int) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", mail_port
    settings.DEFAULT_FROM_EMAIL = "desk@brandt.example"
    assert (state_of("mail"), words_of("mail")) == (State.OK, "The mail server answers.")
    settings.DEFAULT_FROM_EMAIL = "shop@localhost"
    assert "Set WICKLINE_FROM_EMAIL" in words_of("mail")
    settings.EMAIL_PORT = free_port()
    assert state_of("mail") is State.MEND
    assert "Correct WICKLINE_EMAIL_URL" in words_of("mail")


@pytest.mark.parametrize(
    ("address", "https", "labels", "cookies"),
    [
        ("http://127.0.0.1:8000", False, State.ADVICE, State.OK),
        ("http://localhost:8000", False, State.ADVICE, State.OK),
        ("http://192.168.7.20:8000", False, State.OK, State.ADVICE),
        ("https://shop.example", True, State.OK, State.OK),
    ],
)
def test_it_warns_of_labels_for_this_machine_only_and_of_sign_ins_in_the_clear(
    settings: Settings, address: str, https: bool, labels: State, cookies: State
) -> None:
    settings.SHOP_ADDRESS, settings.HTTPS = address, https
    assert (state_of("labels"), state_of("cookies")) == (labels, cookies)


def test_it_misses_an_owner(db: None) -> None:
    assert state_of("owner") is State.MEND


def test_it_advises_a_second_step_until_every_owner_has_one(ottilie: User, frozen: Traveller) -> None:
    assert state_of("second step") is State.ADVICE
    turn_on(ottilie)
    assert state_of("second step") is State.OK


def test_it_finds_the_owner(ottilie: User) -> None:
    assert state_of("owner") is State.OK


@pytest.mark.usefixtures("db")
def test_faults_shown_to_strangers_must_be_mended(settings: Settings) -> None:
    assert state_of("settings") is State.OK
    settings.DEBUG = True
    assert state_of("settings") is State.MEND


@pytest.mark.usefixtures("no_broker")
def test_the_command_ends_with_1_when_something_must_be_mended(
    settings: Settings, capsys: pytest.CaptureFixture[str]
) -> None:
    settings.SHOP_ADDRESS = "https://shop.example"
    call_command("doctor", "--only", "labels")
    said = " ".join(capsys.readouterr().out.split())
    assert said == "ok labels Labels and messages point at https://shop.example."
    with pytest.raises(SystemExit) as ended:
        call_command("doctor", "--only", "labels", "--only", "broker")
    assert ended.value.code == 1


@pytest.mark.usefixtures("ottilie")
def test_it_makes_every_check_and_each_says_something() -> None:
    checks = examine()
    assert [check.name for check in checks] == list(CHECKS)
    assert all(check.says.endswith((".", "migrate", "serve", "--lan")) for check in checks)


def test_it_runs_where_nothing_was_ever_started(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "manage.py", "doctor", "--only", "tables"], capture_output=True, text=True, check=False,
        env=OwnShop(tmp_path).environ, cwd=Path(__file__).parents[2],
    )  # fmt: skip
    assert done.returncode == 1
    assert "Run: manage.py migrate" in done.stdout
    assert "Traceback" not in done.stderr
