"""The log says what happened and where, and nothing of what customers wrote."""

from __future__ import annotations

import io
import json
import logging

import pytest
from sqlalchemy import create_engine, text

from intake.logs import Formatter
from intake.model.errors import MailboxUnreachable


def logged(as_json: bool, fault: Exception | None = None, cause: Exception | None = None) -> str:
    out = io.StringIO()
    handler = logging.StreamHandler(out)
    handler.setFormatter(Formatter(as_json))
    log = logging.Logger("intake.test")
    log.addHandler(handler)
    if fault is None:
        log.warning("450 <ann.archer+x@mail.archer.example> is over quota, says %s", "mx.archer.example")
        return out.getvalue()
    try:
        try:
            if cause:
                raise cause
        except Exception as first:
            raise fault from first
        raise fault
    except Exception:
        log.exception("job %s could not be examined", "R-ABCDE")
    return out.getvalue()


@pytest.mark.parametrize("as_json", [True, False])
def test_of_an_address_only_the_domain_is_told(as_json: bool) -> None:
    said = logged(as_json)
    assert "ann" not in said and "…@mail.archer.example" in said and "mx.archer.example" in said


@pytest.mark.parametrize("as_json", [True, False])
def test_a_fault_tells_where_and_what_kind_but_no_words(as_json: bool) -> None:
    said = logged(as_json, ValueError("our larkspur kitchen"), KeyError("larkspur"))
    assert "larkspur" not in said
    assert "R-ABCDE" in said and "test_logs.py" in said
    assert said.index("KeyError") < said.index("ValueError")


def test_a_databases_parameters_are_not_told() -> None:
    try:
        with create_engine("sqlite://").connect() as connection:
            connection.execute(text("INSERT INTO nowhere VALUES (:words)"), {"words": "larkspur"})
    except Exception as error:
        assert "larkspur" in str(error)  # SQLAlchemy's own sentence holds them
        said = logged(False, error)
    assert "larkspur" not in said and "OperationalError" in said


def test_the_systems_and_our_own_sentences_are_told() -> None:
    assert "No space left" in logged(False, OSError(28, "No space left on device"))
    assert "does not answer" in logged(True, MailboxUnreachable("mail.x.example does not answer"))


def test_each_line_is_one_json_object() -> None:
    said = json.loads(logged(True, ValueError("x\ny")))
    assert set(said) == {"time", "level", "logger", "message", "fault"}
    assert said["level"] == "error" and said["fault"][-1] == "ValueError"
