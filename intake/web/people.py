"""Signing in and out, one's own password, and the owner's list of accounts."""

from __future__ import annotations

from flask import Blueprint, abort, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from intake.web import guard
from intake.web.pages import AuditPage, MyPage, PeoplePage, SignInPage
from intake.web.place import desk, small_number
from intake.work import accounts
from intake.work import people as people_work
from intake.work.accounts import Refused
from intake.work.notices import NoNotices, set_notices

pages = Blueprint("people", __name__)
AUDIT_LINES = 100
"""Lines on a page (by eye)."""


@pages.route("/sign-in", methods=["GET", "POST"])
def sign_in() -> str | Response | tuple[str, int]:
    back = request.values.get("back", "")
    if request.method == "GET":
        return render_template("sign_in.html", page=SignInPage("", "", back))
    name = request.form.get("name", "")
    services = desk().services
    try:
        found = accounts.sign_in(
            services.store, name, request.form.get("password", ""), guard.address(), services.clock()
        )
    except Refused as refused:
        return render_template("sign_in.html", page=SignInPage(refused.line(), name, back)), 403
    guard.start(found)
    return redirect(guard.safe_back(back))


@pages.get("/enter/<link>")
def enter(link: str) -> str | Response | tuple[str, int]:
    """A one-time link, as the demo prints it."""
    services = desk().services
    try:
        found = accounts.enter(services.store, link, guard.address(), services.clock())
    except Refused as refused:
        return render_template("sign_in.html", page=SignInPage(refused.line(), "", "")), 403
    guard.start(found)
    return redirect(url_for("jobs.front"))


@pages.post("/sign-out")
def sign_out() -> Response:
    accounts.sign_out(desk().services.store, session.get("key", ""))
    session.clear()
    return redirect(url_for("people.sign_in"))


@pages.route("/me", methods=["GET", "POST"])
def mine() -> str | Response | tuple[str, int]:
    """One's own password, and whether one is told by mail."""
    if request.method == "GET":
        return render_template("me.html", page=MyPage())
    form, services = request.form, desk().services
    if "notices" in form:
        try:
            set_notices(services, guard.me(), form.get("email", ""), form["notices"])
        except NoNotices as refused:
            return render_template("me.html", page=MyPage(refused=refused.line())), 409
        return redirect(url_for("people.mine"))
    try:
        accounts.change_password(
            services.store,
            guard.me(),
            form.get("old", ""),
            form.get("new", ""),
            session["key"],
            services.clock(),
        )
    except Refused as refused:
        return render_template("me.html", page=MyPage(refused=refused.line())), 409
    return render_template("me.html", page=MyPage(done="The password is changed; other sessions have ended."))


@pages.get("/people")
@guard.owners_only
def people() -> str:
    return _people("")


def _people(refused: str, said: str = "") -> str:
    everybody = accounts.all_accounts(desk().services.store)
    return render_template("people.html", page=PeoplePage(everybody, refused, said))


def _role(named: str) -> accounts.AccountRole:
    if named not in set(accounts.AccountRole):
        raise Refused(f"There is no role {named}", "Use designer or owner")
    return accounts.AccountRole(named)


@pages.post("/people")
@guard.owners_only
def add_person() -> Response | tuple[str, int]:
    form, services = request.form, desk().services
    try:
        accounts.create_account(
            services.store,
            form.get("name", ""),
            form.get("password", ""),
            _role(form.get("role", "")),
            services.clock(),
            guard.me().name,
        )
    except Refused as refused:
        return _people(refused.line()), 409
    return redirect(url_for("people.people"))


@pages.post("/people/<int:account>")
@guard.owners_only
def change_person(account: int) -> str | tuple[str, int]:
    """Close, open, unlock, delete, give a role or a new password."""
    store, now, me = desk().services.store, desk().services.clock(), guard.me().name
    name = accounts.name_of(store, account)
    said = ""
    try:
        match request.form.get("do", ""):
            case "close" | "open" as do:
                people_work.set_closed(store, name, do == "close", me, now)
            case "designer" | "owner" as role:
                people_work.set_role(store, name, accounts.AccountRole(role), me, now)
            case "unlock":
                people_work.unlock(store, name, me, now)
            case "delete":
                people_work.delete_account(store, name, me, now)
            case "reset":
                password = people_work.reset_password(store, name, me, now)
                said = (
                    f"{name} may sign in with {password} and should change it there. It is shown this once."
                )
            case _:
                abort(400, "Nothing was chosen.")
    except Refused as refused:
        return _people(refused.line()), 409
    return _people("", said)


@pages.get("/audit")
@guard.owners_only
def audit() -> str:
    before = request.args.get("before", type=small_number)
    lines = accounts.audit_lines(desk().services.store, AUDIT_LINES + 1, before)
    further = lines[AUDIT_LINES - 1][0] if len(lines) > AUDIT_LINES else None
    return render_template("audit.html", page=AuditPage(lines[:AUDIT_LINES], further))
