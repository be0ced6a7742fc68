"""What the desk refuses: strangers, forged forms, other sites, and mark-up that came by mail.

Headers are checked against OWASP's list for HTTP headers (from memory): a policy without unsafe-inline, nosniff, no
framing by others.
"""

from __future__ import annotations

from html.parser import HTMLParser

import pytest

from intake.desk import desk_app
from intake.settings import Settings
from intake.work.accounts import sign_in_link
from intake.work.job_view import job_view
from tests.web.conftest import Place

WATCHING = {"watching.alive", "watching.health", "watching.for_prometheus"}
OPEN = {"static", "people.sign_in", "people.enter"} | WATCHING


def _paths(place: Place) -> list[tuple[str, str]]:
    """(method, path) of every page of the desk that is not open, filled with something that could be there."""
    filled = {"job_id": place.job("Ines"), "letter_id": 1, "picture": "a" * 16, "number": 0, "sha256": "b" * 64,
              "item": "boiler", "account": 1, "ending": "pdf", "room": "kitchen", "check": 1}  # fmt: skip
    found = []
    with place.app.test_request_context():
        adapter = place.app.url_map.bind("desk.example")
        for rule in place.app.url_map.iter_rules():
            if rule.endpoint not in OPEN:
                path = adapter.build(rule.endpoint, {a: filled[a] for a in rule.arguments}, method=None)
                found += [(m, path) for m in sorted((rule.methods or set()) & {"GET", "POST"})]
    return found


def test_a_stranger_gets_nothing_but_the_door(place: Place) -> None:
    stranger = place.app.test_client()
    paths = _paths(place)
    assert len(paths) > 25
    for method, path in paths:
        answer = stranger.open(path, method=method)
        assert answer.status_code == 302 and "/sign-in" in answer.headers["Location"], path


def test_no_change_without_the_token(place: Place) -> None:
    client = place.client()
    for method, path in _paths(place):
        if method == "POST":
            assert client.post(path).status_code == 403, path
            assert client.post(path, data={"token": "forged"}).status_code == 403, path
            assert client.post(path, headers={"X-Desk-Token": "forged"}).status_code == 403, path


def test_an_account_of_no_role_that_there_is_is_refused(place: Place) -> None:
    refused = place.post(place.client(), "/people", name="eve", password="long-enough-words", role="king")
    assert refused.status_code == 409 and "no role king" in refused.get_data(as_text=True)


def test_a_designer_is_no_owner(place: Place) -> None:
    client = place.client("jon")
    assert client.get("/people").status_code == 403
    assert client.get("/audit").status_code == 403
    assert (
        place.post(client, "/people", name="eve", password="long-enough-words", role="owner").status_code
        == 403
    )


def test_every_answer_carries_the_headers(place: Place) -> None:
    client = place.client()
    for path in ("/", "/jobs", f"/jobs/{place.job('Ines')}", "/jobs/R-NONE", "/static/desk.css"):
        headers = client.get(path).headers
        policy = headers["Content-Security-Policy"]
        assert (
            "default-src 'none'" in policy and "unsafe" not in policy and "frame-ancestors 'none'" in policy
        ), path
        assert headers["X-Content-Type-Options"] == "nosniff"


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(place: Place) -> None:
    cookie = place.app.test_client().get("/sign-in").headers["Set-Cookie"]
    assert "HttpOnly" in cookie and "SameSite=Lax" in cookie


@pytest.mark.parametrize(
    "back", ["https://evil.example/", "//evil.example/", "/\\evil.example", "javascript:alert(1)"]
)
def test_signing_in_never_leads_to_another_site(place: Place, back: str) -> None:
    client = place.app.test_client()
    client.get("/sign-in")
    with client.session_transaction() as session:
        token = session["token"]
    form = {"token": token, "name": "maya", "password": "plain-tape-and-pencil", "back": back}
    answer = client.post("/sign-in", data=form)
    assert answer.status_code == 302 and answer.headers["Location"] == "/"


def test_signing_in_changes_the_token(place: Place) -> None:
    client = place.app.test_client()
    client.get("/sign-in")
    with client.session_transaction() as session:
        before = session["token"]
    client.post("/sign-in", data={"token": before, "name": "maya", "password": "plain-tape-and-pencil"})
    client.get("/")
    with client.session_transaction() as session:
        assert session["token"] != before


def test_pictures_have_their_strict_type_and_are_kept_privately(place: Place) -> None:
    with place.services.store.reading() as tables:
        kept = tables.pictures.of_job(place.job("Ines"))[0]
    answer = place.client().get(f"/pictures/{kept.picture.id}.jpg")
    assert answer.status_code == 200 and answer.data[:3] == b"\xff\xd8\xff"
    assert answer.headers["Content-Type"] == "image/jpeg" and "private" in answer.headers["Cache-Control"]
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize(
    "path", ["/pictures/..%2f..%2fsession-key.jpg", "/pictures/%2e%2e.jpg", "/pictures/x.jpg"]
)
def test_no_path_leads_out_of_the_pictures(place: Place, path: str) -> None:
    assert place.client().get(path).status_code == 404


@pytest.mark.parametrize("paper", ["guide-kitchen", "guide-bedroom", "guide-bathroom", "measuring-sheet"])
def test_papers_for_customers_are_pdfs(place: Place, paper: str) -> None:
    answer = place.client().get(f"/for-customers/{paper}.pdf")
    assert answer.mimetype == "application/pdf" and answer.data[:5] == b"%PDF-"
    assert place.client().get("/for-customers/guide-unknown.pdf").status_code == 404


def test_a_message_is_saved_and_never_shown(place: Place) -> None:
    with place.services.store.reading() as tables:
        message = tables.messages.of_job(place.job("Ines"))[0]
    answer = place.client().get(f"/messages/{message.sha256}.eml")
    assert answer.headers["Content-Disposition"].startswith("attachment")
    assert b"Our kitchen" in answer.data


class _Inline(HTMLParser):
    """Collects whatever the policy would forbid, and what a stranger's words might have become."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "style" or (tag == "script" and not given.get("src")):
            self.found.append(tag)
        self.found += [name for name in given if name == "style" or name.startswith("on")]
        self.found += [v for v in given.values() if v and v.strip().lower().startswith("javascript:")]


def test_no_page_needs_inline_script_or_style(place: Place) -> None:
    client = place.client()
    for path in ("/", "/jobs", "/set-aside", "/people", "/audit", "/me", f"/jobs/{place.job('Ines')}"):
        parser = _Inline()
        parser.feed(client.get(path).get_data(as_text=True))
        assert parser.found == [], path


def test_a_strangers_words_stay_words(place: Place) -> None:
    evil = '"><script>alert(1)</script><img src=x onerror=alert(1)>{{ 7 * 7 }}'
    job = place.job("Oscar")
    with place.services.store.transaction() as tables:
        before = tables.jobs.get(job)
        assert before is not None
        tables.jobs.change(job, customer_name=f"Oscar {evil}")
    try:
        for path in ("/", "/jobs?find=oscar", f"/jobs/{job}"):
            html = place.client().get(path, follow_redirects=True).get_data(as_text=True)
            parser = _Inline()
            parser.feed(html)
            assert parser.found == [] and "<script>alert" not in html
            assert "{{ 7 * 7 }}" in html
    finally:
        with place.services.store.transaction() as tables:
            tables.jobs.change(job, customer_name=before.customer.name)


def test_a_form_too_large_is_refused(place: Place) -> None:
    client = place.client()
    assert client.post(f"/jobs/{place.job('Ines')}/stop", data={"reason": "x" * (2 << 20)}).status_code == 413


def test_the_front_page_says_what_the_settings_leave_undone(place: Place) -> None:
    html = place.client().get("/").get_data(as_text=True)
    assert "authserv_id" not in html
    unset = desk_app(Settings(data=place.services.store.files.root, session_key="k"), place.services)
    client = unset.test_client()
    client.get(sign_in_link(place.services.store, "maya", place.services.clock()))
    assert "authserv_id is not set" in client.get("/").get_data(as_text=True)


def test_a_form_after_the_session_ended_leads_to_sign_in_and_back(place: Place) -> None:
    job, gone = place.job("Ines"), place.client()
    with gone.session_transaction() as session:
        session["key"] = "of a session that is over"
    answer = gone.post(f"/jobs/{job}/notes", data={"token": "whatever", "text": "lost"})
    assert answer.status_code == 302
    assert answer.location.endswith(f"/sign-in?back=/jobs/{job}") or answer.location.endswith(
        f"back=%2Fjobs%2F{job}"
    )
    assert job_view(place.services, job).notes == ()


def test_pages_speak_of_pages(place: Place) -> None:
    page = place.client().get("/jobs/R-22222-22222")
    assert page.status_code == 404 and "There is no job" in page.text and "`" not in page.text
