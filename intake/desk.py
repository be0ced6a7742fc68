"""The desk, wired: the application over the services, with the drawing room behind it."""

from __future__ import annotations

from typing import Any

from flask import Flask
from waitress import create_server

from intake.drawing.handover_pdf import Handover, Shown, handover_pdf
from intake.drawing.load import parse_room_text
from intake.drawing.plan import plan_svg
from intake.drawing.titles import TitleBlock
from intake.drawing.write import plan_bytes
from intake.model.checklist import RoomKind
from intake.model.examination import RoomExamination
from intake.pen import showroom_of
from intake.postbox.guide import measuring_guide, measuring_sheet
from intake.postbox.letters import Showroom
from intake.settings import Settings, warnings
from intake.web.app import create_app
from intake.web.place import DeskSettings
from intake.wiring import watched
from intake.work.accounts import session_key
from intake.work.by_hand import LARGEST_IN_ALL
from intake.work.handover import Caption, Contents
from intake.work.metrics import ReadingTimes
from intake.work.services import Services


class ShowroomDraughtsman:
    """Draws as the showroom of the letterhead."""

    def __init__(self, services: Services) -> None:
        self._services = services

    @property
    def _signed(self) -> Showroom:
        return showroom_of(self._services.letterhead())

    def guide(self, room: RoomKind) -> bytes:
        return measuring_guide(self._services.checklists[room], self._services.pen.wording(), self._signed)

    def blank_sheet(self) -> bytes:
        return measuring_sheet(self._services.pen.wording(), self._signed)

    def plan(self, examination: RoomExamination) -> str:
        return plan_svg(examination, None)

    def sheets(self, examination: RoomExamination, caption: Caption, ending: str) -> bytes:
        return plan_bytes(examination, self._title(caption), ending)

    def parse(self, text: str) -> dict[str, Any]:
        return parse_room_text(text.encode(), "The room")

    def handover(self, contents: Contents, examination: RoomExamination | None) -> bytes:
        drawings = self.sheets(examination, contents.caption, ".pdf") if examination else None
        said = Handover(
            title=self._title(contents.caption),
            contact=contents.contact,
            doubts=contents.doubts,
            decisions=contents.decisions,
            cautions=contents.cautions,
            standings=contents.standings,
            pictures=[Shown(picture, jpeg) for picture, jpeg in contents.pictures],
            logo=self._signed.logo,
        )
        return handover_pdf(said, drawings)

    def _title(self, caption: Caption) -> TitleBlock:
        given = caption.job, caption.customer, caption.room, caption.drawn_on
        return TitleBlock(self._signed.name, *given, logo=self._signed.logo)


def desk_app(
    settings: Settings, services: Services, times: ReadingTimes | None = None, under: str = ""
) -> Flask:
    """The desk for these settings; the cookies' key is the setting's, else one kept in the data folder."""
    place = DeskSettings(
        session_key=settings.session_key or session_key(settings.data),
        address=settings.address[0] if settings.address else "",
        timezone=settings.timezone,
        behind_proxy=settings.behind_proxy == "yes",
        warnings=warnings(settings),
        watched=watched(settings),
        times=times or ReadingTimes(),
        metrics_token=settings.metrics_token,
        under=under,
    )
    return create_app(services, ShowroomDraughtsman(services), place)


def desk_server(app: Any, settings: Settings, port: int, threads: int = 4) -> Any:
    """A server of a WSGI application, ready to run. Raises OSError where the port is taken.

    Behind a proxy the visitor's address and TLS are those that this proxy names, and no other.
    """
    proxy: dict[str, Any] = {}
    if settings.behind_proxy == "yes":
        named = {"x-forwarded-for", "x-forwarded-proto", "x-forwarded-host"}
        proxy = {
            "trusted_proxy": settings.proxy_address,
            "trusted_proxy_count": 1,
            "trusted_proxy_headers": named,
        }
    return create_server(
        app,
        host=settings.host,
        port=port,
        threads=threads,
        max_request_body_size=LARGEST_IN_ALL + (2 << 20),
        **proxy,
    )
