"""Take the pictures of docs/screenshots anew: python -m tests.web.screenshots DATA CUSTOMER

DATA is a data folder that `intake demo --no-serve --data DATA` has filled, CUSTOMER a word that finds one of its jobs.
"""

from __future__ import annotations

import io
import sys
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import sync_playwright

from intake import wiring
from intake.demo import _showroom
from intake.desk import desk_app
from intake.settings import PROJECT, Settings
from intake.work.accounts import demo_account
from tests.web import world
from tests.web.conftest import CHROMIUM, QUIET

TARGET = PROJECT / "docs" / "screenshots"
SHOTS = (
    ("jobs", "/", (1280, 700)),
    ("job", "{job}", (1440, 900)),
    ("checklist", "{job}#checklist", (1280, 760)),
    ("letter", "{job}#letter", (1280, 760)),
    ("handover", "{job}#hand-over", (1280, 760)),
    ("room", "{job}/room?at=C2", (1280, 760)),
    ("new-job", "/new-job", (1280, 760)),
    ("showroom", "/showroom", (1280, 760)),
    ("figures", "/figures", (1280, 760)),
    ("tablet", "{job}", (1024, 768)),
    ("telephone", "{job}", (390, 844)),
)
"""Name, address and size of each; {job} is the customer's."""


def main(data: Path, customer: str) -> None:
    settings = _showroom(Settings(data=data))
    with (
        wiring.opened(settings) as services,
        world.listening(desk_app(settings, services)) as address,
        sync_playwright() as started,
    ):
        browser = started.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        page = browser.new_context(base_url=address).new_page()
        page.goto(demo_account(services.store, services.clock())[2])
        page.goto(f"/jobs?find={customer}")
        job = page.locator("a.row").first.get_attribute("href")
        for name, path, (width, height) in SHOTS:
            page.set_viewport_size({"width": width, "height": height})
            page.goto("/me")  # so that a change of the fragment alone loads the page anew
            page.goto(path.format(job=job), wait_until="networkidle")
            _keep(page, TARGET / f"{name}.png")
        browser.close()


def _keep(page: Any, path: Path) -> None:
    """A screenshot in 256 colours: small, sharp enough to read, and with its signal colours kept."""
    page.wait_for_timeout(800)
    shot = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    shot.quantize(256, method=Image.Quantize.MAXCOVERAGE, kmeans=3, dither=Image.Dither.NONE).save(
        path, optimize=True
    )
    print(f"{path}: {path.stat().st_size // 1000} KB")


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve(), sys.argv[2])
