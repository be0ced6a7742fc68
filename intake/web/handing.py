"""What leaves with a job: drawings, the pack, the invitation to the design call."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("handing", __name__, url_prefix="/jobs/<job_id>")
