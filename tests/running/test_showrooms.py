"""Several showrooms in one installation: each has its own of everything, and no way leads from one into another."""

from __future__ import annotations

import re
import socket
from collections.abc import Iterator
from datetime import timedelta
from multiprocessing import Pipe
from pathlib import Path

import pytest
from werkzeug.test import Client, TestResponse

from intake import wiring
from intake.cli import main
from intake.crew import Crew, Hand
from intake.house import House, front
from intake.model.errors import NotFound, SettingsError
from intake.orders import NOTHING_KNOWN, Begin, Done, Duty
from intake.showrooms import load_showrooms, showroom
from intake.work.accounts import AccountRole, create_account
from intake.worker import Worker
from tests.running.scale import run
from tests.running.test_crew import until
from tests.work.mail import SERVER, folder, message

PASSWORD = "plain-tape-and-pencil"


@pytest.fixture
def environ(tmp_path: Path) -> dict[str, str]:
    """Three showrooms with a mailbox each and one customer's letter in it."""
    for name in ("elm", "hollin", "oak-two"):
        (tmp_path / "rooms" / name).mkdir(parents=True)
        mail = message(f"Ann <ann@{name}.example>", "Kitchen", "Hello", message_id=f"<1@{name}.example>")
        folder(tmp_path / "mail" / name, mail)
    return {
        "INTAKE_SHOWROOMS": str(tmp_path / "rooms"),
        "INTAKE_DATA": str(tmp_path / "data"),
        "INTAKE_MAIL_FOLDER": str(tmp_path / "mail" / "{showroom}"),
        "INTAKE_LETTERS_FOLDER": str(tmp_path / "out" / "{showroom}"),
        "INTAKE_ADDRESS": "survey@{showroom}.showrooms.example",
        "INTAKE_AUTHSERV_ID": SERVER,
    }


@pytest.fixture
def house(environ: dict[str, str]) -> Iterator[House]:
    opened = House(load_showrooms(environ))
    yield opened
    opened.close()


def go_round(house: House, name: str) -> None:
    """What a worker does with a duty, in this process."""
    way, _ = Pipe()
    worker = Worker(way, Begin(house.settings, False))
    house.told(worker.round(Duty(name, NOTHING_KNOWN)))
    worker.close()


def rooms(environ: dict[str, str]) -> Path:
    return Path(environ["INTAKE_SHOWROOMS"])


def jobs(house: House, name: str) -> list[str]:
    with house.services(name).store.reading() as tables:
        return [job.customer.email for job in tables.jobs.all()]


def test_own_settings_lie_over_the_shared_ones(environ: dict[str, str]) -> None:
    (rooms(environ) / "elm" / "intake.yaml").write_text("showroom_name: Elm Kitchens\nimap_host: m.example\n")
    secrets = rooms(environ) / "elm" / "secrets"
    secrets.write_text("# the mailbox\nINTAKE_IMAP_PASSWORD=a=b\n")
    secrets.chmod(0o640)
    found = load_showrooms(environ).found
    assert (found["elm"].showroom_name, found["elm"].imap_password) == ("Elm Kitchens", "a=b")
    assert (found["hollin"].showroom_name, found["hollin"].imap_password) == ("The showroom", "")
    assert found["hollin"].address == ("survey@hollin.showrooms.example",)
    assert found["hollin"].data == Path(environ["INTAKE_DATA"]) / "hollin"
    assert len({settings.database for settings in found.values()}) == 3


@pytest.mark.parametrize(
    "name",
    ["Elm", "elm_two", "-elm", "elm-", "a" * 41, "elm.example", "ëlm", "health", "static", "el m", "elm\n"],
)
def test_what_is_no_name_is_no_showroom(environ: dict[str, str], name: str) -> None:
    (rooms(environ) / name).mkdir()
    found = load_showrooms(environ)
    assert set(found.found) == {"elm", "hollin", "oak-two"}
    assert "is no name of a showroom" in found.faults[name].line()


@pytest.mark.parametrize("name", ["..", "../rooms/elm", "elm/../hollin", "/etc", "", "elm/"])
def test_a_path_names_no_showroom(environ: dict[str, str], name: str) -> None:
    with pytest.raises(NotFound):
        showroom(environ, None, name)


@pytest.mark.parametrize("key", ["data: /srv/other", "port: 8100", "showrooms: /srv", "metrics_token: x"])
def test_a_showroom_does_not_set_what_is_the_house_s(environ: dict[str, str], key: str) -> None:
    (rooms(environ) / "elm" / "intake.yaml").write_text(key + "\n")
    found = load_showrooms(environ)
    assert set(found.faults) == {"elm"} and set(found.found) == {"hollin", "oak-two"}


@pytest.mark.parametrize(
    "shared",
    [
        "mail_folder: {tmp}/mail/hollin",
        "letters_folder: {tmp}/out/hollin/",
        "address: [a@b.example, SURVEY@hollin.showrooms.example]",
        "database_url: sqlite:///{tmp}/data/hollin/intake.sqlite3",
    ],
)
def test_two_that_share_what_must_be_their_own_are_refused_both(
    environ: dict[str, str], tmp_path: Path, shared: str
) -> None:
    (rooms(environ) / "elm" / "intake.yaml").write_text(shared.format(tmp=tmp_path) + "\n")
    found = load_showrooms(environ)
    assert set(found.faults) == {"elm", "hollin"} and set(found.found) == {"oak-two"}
    assert shared.partition(":")[0] in found.faults["elm"].line()


def test_secrets_that_everybody_may_read_are_refused(environ: dict[str, str]) -> None:
    secrets = rooms(environ) / "elm" / "secrets"
    secrets.write_text("INTAKE_IMAP_PASSWORD=x\n")
    secrets.chmod(0o644)
    with pytest.raises(SettingsError, match="may read"):
        showroom(environ, None, "elm")


def test_commands_ask_which_showroom(
    environ: dict[str, str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for name, value in environ.items():
        monkeypatch.setenv(name, value)
    assert main(["showrooms"]) == 0
    assert capsys.readouterr().out.split() == ["elm", "hollin", "oak-two"]
    assert main(["jobs"]) == 2
    assert "--showroom" in capsys.readouterr().err
    assert main(["collect", "--showroom", "elm"]) == 0
    assert "1 taken" in capsys.readouterr().out
    assert main(["erase", "ann@elm.example", "--showroom", "hollin"]) == 1
    assert (
        main(
            ["export", "ann@elm.example", "--showroom", "hollin", "--out", environ["INTAKE_DATA"] + "/x.zip"]
        )
        == 1
    )
    assert main(["jobs", "--showroom", "hollin"]) == 0
    assert "no jobs yet" in capsys.readouterr().out
    assert main(["jobs", "--showroom", "../elm"]) == 1
    capsys.readouterr()
    main(["check"])
    told = capsys.readouterr().out
    assert all(f"good  {name}  mailbox" in told for name in ("elm", "hollin", "oak-two"))


def at(crew: Crew, name: str) -> list[Hand]:
    """The workers that are at a showroom just now."""
    return [hand for hand in list(crew._hands.values()) if (duty := hand.at) and duty.showroom == name]


def test_one_that_fails_stands_still_or_ends_its_worker_holds_up_none_other(
    environ: dict[str, str], tmp_path: Path
) -> None:
    """Real workers: the mail server of hollin never says a word, elm cannot be opened, and whoever is at hollin is
    killed."""
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "elm").write_text("a file where the data folder should be")
    with socket.create_server(("127.0.0.1", 0)) as silent:
        shared = environ.pop("INTAKE_MAIL_FOLDER")
        port = silent.getsockname()[1]
        own = {n: f"mail_folder: {shared.replace('{showroom}', n)}\n" for n in ("elm", "oak-two")}
        own["hollin"] = f"imap_host: 127.0.0.1\nimap_security: none\nimap_port: {port}\nimap_timeout: 120\n"
        for name, lines in own.items():
            (rooms(environ) / name / "intake.yaml").write_text(lines)
        house = House(load_showrooms(environ))
        with Crew(house.settings, 2, told=house.told, lost=house.lost) as crew:
            until(lambda: "elm" in house.wrong() and jobs(house, "oak-two") == ["ann@oak-two.example"])
            assert [t.what for t in house.wrong()["elm"]] == ["showroom"]
            until(lambda: bool(at(crew, "hollin")))
            at(crew, "hollin")[0].process.kill()
            until(lambda: "hollin" in house.wrong())
            assert [t.what for t in house.wrong()["hollin"]] == ["worker-lost"]
    house.close()


def test_one_that_nobody_looks_after_is_told(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    later = wiring.now() + timedelta(hours=2)
    monkeypatch.setattr(wiring, "now", lambda: later)
    assert [t.what for t in house.wrong()["hollin"]] == ["worker"]


@pytest.mark.parametrize("workers", [2, pytest.param(10, marks=pytest.mark.long)])
def test_workers_share_the_mail_of_one_showroom(
    workers: int, environ: dict[str, str], tmp_path: Path
) -> None:
    names = [f"b{n}" for n in range(3 * workers)]
    folder(
        tmp_path / "mail" / "elm",
        *(message(f"B <{n}@{n}.example>", "Kitchen", "Hi", message_id=f"<{n}@x.example>") for n in names),
    )
    one = {"elm": load_showrooms(environ).found["elm"]}
    done = list[Done]()
    with Crew(one, workers, told=done.append):
        until(lambda: len({d.duty.seat for d in done}) == workers)
    with wiring.opened_store(one["elm"]) as store, store.reading() as tables:
        states = tables.db.exec_driver_sql("SELECT state, count(*) FROM messages GROUP BY state").all()
        writers = [job.customer.email for job in tables.jobs.all()]
    lying = len(list((tmp_path / "mail" / "elm").glob("*.eml")))
    assert [tuple(row) for row in states] == [("filed", lying)]
    assert len(writers) == len(set(writers)) == lying


def idle(house: House) -> Crew:
    """A crew that has not begun."""
    return Crew(house.settings)


def signed_in(house: House, name: str) -> Client:
    services = house.services(name)
    create_account(services.store, "maya", PASSWORD, AccountRole.OWNER, services.clock())
    client = Client(front(house, idle(house), ""))
    page = client.get(f"/{name}/sign-in").get_data(as_text=True)
    token = re.search(r'name="token" value="([^"]+)"', page)
    assert token
    sent = {"token": token[1], "name": "maya", "password": PASSWORD}
    answer = client.post(f"/{name}/sign-in", data=sent)
    assert answer.status_code == 302 and answer.location == f"/{name}/"
    assert f"Path=/{name}" in answer.headers["Set-Cookie"]
    assert client.get(f"/{name}/jobs").status_code == 200
    return client


def refused(answer: TestResponse) -> bool:
    return answer.status_code == 302 and "/sign-in" in answer.location


def test_a_session_of_one_showroom_is_nothing_in_another(house: House) -> None:
    client = signed_in(house, "elm")
    assert refused(client.get("/hollin/jobs"))
    cookie = client.get_cookie("desk-elm", path="/elm")
    assert cookie is not None
    bare = Client(front(house, idle(house), ""), use_cookies=False)
    for name in ("desk-elm", "desk-hollin", "desk"):
        assert refused(bare.get("/hollin/jobs", headers={"Cookie": f"{name}={cookie.value}"}))
    assert bare.get("/elm/jobs", headers={"Cookie": f"desk-elm={cookie.value}"}).status_code == 200


PATHS = (
    "/elm/../hollin/jobs", "/elm/%2e%2e/hollin/jobs", "/elm//hollin/jobs", "//hollin/jobs", "/hollin%2fjobs",
    "/hollin/jobs/../../elm/jobs", "/HOLLIN/jobs", "/hollin;/jobs", "/hollin%00/jobs", "/./hollin/jobs",
    "/hollin\\jobs",
)  # fmt: skip


def test_no_path_of_one_showroom_shows_another(house: House) -> None:
    """Whatever the spelling, somebody signed in to elm sees no page of hollin."""
    go_round(house, "hollin")
    assert jobs(house, "hollin") == ["ann@hollin.example"]
    client = signed_in(house, "elm")
    for path in PATHS:
        answer = client.get(path)
        assert refused(answer) or answer.status_code in (308, 404), path
        assert "ann@hollin" not in answer.get_data(as_text=True), path
        assert client.get("/elm/jobs").status_code == 200, "and still signed in"


def test_signing_in_leads_back_within_the_showroom_alone(house: House) -> None:
    client = signed_in(house, "elm")
    page = client.get("/elm/me").get_data(as_text=True)
    assert 'href="/elm/' in page and 'href="/jobs' not in page
    fresh = Client(front(house, idle(house), ""))
    assert fresh.get("/elm/jobs?q=x").location == "/elm/sign-in?back=/elm/jobs?q%3Dx"
    token = re.search(r'name="token" value="([^"]+)"', fresh.get("/elm/sign-in").get_data(as_text=True))
    assert token
    sent = {"token": token[1], "name": "maya", "password": PASSWORD}
    for back in ("/hollin/jobs", "/elm/../hollin/jobs", "/elm/%2E./hollin/jobs", "/elmhollin"):
        other = Client(front(house, idle(house), ""))
        page = other.get("/elm/sign-in").get_data(as_text=True)
        token = re.search(r'name="token" value="([^"]+)"', page)
        assert token
        answer = other.post("/elm/sign-in", query_string={"back": back}, data=sent | {"token": token[1]})
        assert answer.location == "/elm/", back


def test_health_and_metrics_tell_of_each_to_those_who_may_know(environ: dict[str, str]) -> None:
    (rooms(environ) / "elm" / "intake.yaml").write_text("port: 1\n")
    house = House(load_showrooms(environ))
    try:
        here = Client(front(house, idle(house), "token"))
        told = here.get("/health", environ_base={"REMOTE_ADDR": "127.0.0.1"})
        assert told.status_code == 503 and "elm: settings: " in told.get_data(as_text=True)
        away = {"REMOTE_ADDR": "192.0.2.7"}
        assert here.get("/health", environ_base=away).get_data(as_text=True) == "1 showrooms\n"
        assert here.get("/metrics", environ_base=away).status_code == 404
        said = here.get("/metrics", environ_base=away, headers={"Authorization": "Bearer token"})
        lines = said.get_data(as_text=True).splitlines()
        assert 'intake_showroom_wrong{showroom="elm"} 1' in lines
        assert 'intake_showroom_wrong{showroom="hollin"} 0' in lines
        assert here.get("/elm/", environ_base=away).status_code == 404
        assert "elm" not in here.get("/", environ_base=away).get_data(as_text=True)
        assert here.get("/alive").status_code == 200
    finally:
        house.close()


def test_a_small_day_of_several_showrooms(tmp_path: Path) -> None:
    """The check is in the run: nothing missing, doubled or in another showroom, though one is faulty all day."""
    assert run(tmp_path, showrooms=3, messages=4, polls=3)["messages"] == 12
