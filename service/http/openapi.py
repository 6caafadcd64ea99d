"""The description of the service (OpenAPI): bodies, options, answers, headers, faults, examples.

Routes that take a score describe themselves through the functions here; `describe` adds the models, and to every
operation the faults that the layers before the routes may answer with.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import FastAPI, Response
from fastapi.openapi.utils import get_openapi
from pydantic.json_schema import models_json_schema

from ..config.options import Options
from ..reports.wire.answers import Problem
from ..reports.wire.review_answer import ReviewAnswer
from .answers import ABC, MXL, XML
from .problems import MEDIA_TYPE

_SCHEMA = "#/components/schemas/{model}"
_ANSWER = "#/components/responses/{name}"
_BINARY = {"type": "string", "format": "binary"}
_EXAMPLE = (
    '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Violin</part-name></score-part>'
    '</part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions></attributes>'
    "<note><pitch><step>A</step><octave>5</octave></pitch><duration>4</duration></note></measure></part></score-partwise>"
)
_FAULTS = {
    "400": "The score, the form or an option cannot be used; the detail says what, the advice what to do",
    "403": "A page of another site, or of an origin that is not listed",
    "404": "There is nothing at this address",
    "405": "The address does not take this method",
    "408": "The request did not arrive in time",
    "412": "If-None-Match names the very answer (RFC 9110, 13.1.2): keep what you have",
    "413": "Larger than a limit: bytes, unpacked bytes, ratio, entries, notes, parts or depth",
    "415": "No MusicXML, or a compressed request",
    "421": "A host name that the service does not answer to",
    "422": "A score that is understood but cannot be planned, for example without a part for the instrument",
    "429": "Too many requests at once from one address",
    "500": "A fault of the service",
    "503": "Busy, or the work took too long and was stopped",
}
_ALWAYS = ("403", "421", "429", "500")
_TAKING_A_SCORE = ("400", "408", "412", "413", "415", "422", "429", "503")
_FRAMEWORK_MODELS = ("HTTPValidationError", "ValidationError")
_WAITING = {"Retry-After": {"schema": {"type": "integer"}, "description": "seconds after which to try again"}}
_TAG = {"ETag": {"schema": {"type": "string"}, "description": "names this answer; send it in If-None-Match"}}
SUMMARY_HEADERS = {
    "Handframe-Parts": {"schema": {"type": "string"}, "description": "ids of the parts planned, percent-encoded"},
    "Handframe-Findings": {
        "schema": {"type": "integer", "minimum": 0},
        "description": "findings in all parts that no proposal answers",
    },
    "Handframe-Proposals": {"schema": {"type": "integer", "minimum": 0}, "description": "proposals in all parts"},
    "Handframe-Level-Needed": {"schema": {"type": "string"}, "description": "lowest level that can play all parts"},
    "Handframe-Remarks": {
        "schema": {"type": "string"},
        "description": "what to know of a file in another format or with more scores in it; sentences, percent-encoded",
    },
    "Handframe-Beyond-Level": {
        "schema": {"type": "string"},
        "description": "if there are notes beyond the level: the part and its bars, such as P1:25-28,40",
    },
}
_NAME = {"Content-Disposition": {"schema": {"type": "string"}, "description": "a name for the file"}}


def score_operation(answer: str, takes_options: bool = True) -> dict[str, Any]:
    """Return the description of a route that answers a score with a score."""
    headers = {**_TAG, **(SUMMARY_HEADERS if takes_options else {})}
    ok = {
        "description": answer,
        "headers": {**headers, **_NAME},
        "content": {XML: _schema(_BINARY), MXL: _schema(_BINARY), **({ABC: _schema(_BINARY)} if takes_options else {})},
    }
    none = {"description": "The answer is the very file that was sent: keep it", "headers": headers}
    return _operation({"200": ok, "204": none}, takes_options)


def review_operation() -> dict[str, Any]:
    """Return the description of the route that answers a score with a review."""
    model = {"$ref": _SCHEMA.format(model=ReviewAnswer.__name__)}
    ok = {
        "description": "The review",
        "headers": {**_TAG, **SUMMARY_HEADERS},
        "content": {"application/json": _schema(model)},
    }
    return _operation({"200": ok}, True)


def _operation(answers: Mapping[str, Any], takes_options: bool) -> dict[str, Any]:
    faults = {status: {"$ref": _ANSWER.format(name=f"Fault{status}")} for status in _TAKING_A_SCORE}
    parameters = [
        _query(
            "filename",
            {"type": "string", "maxLength": 255},
            "what the file is called; names the answer, is never opened",
        ),
        {
            "name": "If-None-Match",
            "in": "header",
            "schema": {"type": "string"},
            "description": "tags of answers that you have",
        },
    ]
    if takes_options:
        parameters += _option_parameters()
    extra = {"requestBody": _body(takes_options), "responses": {**answers, **faults}, "parameters": parameters}
    return {"openapi_extra": extra, "response_class": Response, "status_code": 200}


def _body(takes_options: bool) -> dict[str, Any]:
    form: dict[str, Any] = {"score": {**_BINARY, "description": "the file; its name names the answer"}}
    if takes_options:
        form["options"] = {"$ref": _SCHEMA.format(model=Options.__name__)}
    example = {"examples": {"one note": {"value": _EXAMPLE}}}
    return {
        "required": True,
        "description": "The file as it is: MusicXML, plain or compressed, ABC, Humdrum kern, MEI or MIDI. Its content "
        "decides, not the media type; what only its name tells stands in `filename`. Or a form.",
        "content": {
            XML: {**_schema(_BINARY), **example},
            MXL: _schema(_BINARY),
            "application/xml": {**_schema(_BINARY), **example},
            "application/octet-stream": _schema(_BINARY),
            "multipart/form-data": {
                "schema": {"type": "object", "required": ["score"], "properties": form, "additionalProperties": False},
                "encoding": {"options": {"contentType": "application/json"}} if takes_options else {},
            },
        },
    }


def _schema(schema: Mapping[str, Any]) -> dict[str, Any]:
    return {"schema": dict(schema)}


def _query(name: str, schema: Mapping[str, Any], description: str) -> dict[str, Any]:
    return {"name": name, "in": "query", "description": description, "schema": dict(schema)}


def _option_parameters() -> list[dict[str, Any]]:
    """Return the options as query parameters, made from their model."""
    parameters = []
    for name, schema in Options.model_json_schema()["properties"].items():
        plain = {
            key: value for key, value in schema.items() if key not in ("title", "description", "examples", "anyOf")
        }
        if "anyOf" in schema:  # a query says null by leaving the option out
            plain |= schema["anyOf"][0]
            plain.pop("default", None)
        parameter = _query(name, plain, schema["description"])
        if schema.get("examples"):
            parameter["example"] = schema["examples"][0]
        parameters.append(parameter)
    return parameters


def describe(app: FastAPI) -> dict[str, Any]:
    """Return the description of an application."""
    document = get_openapi(
        title=app.title, version=app.version, summary=app.summary, description=app.description, routes=app.routes
    )
    _, models = models_json_schema(
        [(Options, "validation"), (ReviewAnswer, "serialization"), (Problem, "serialization")],
        ref_template=_SCHEMA,
    )
    components = document.setdefault("components", {})
    schemas = {**models["$defs"], **components.get("schemas", {})}
    components["schemas"] = {name: schemas[name] for name in schemas if name not in _FRAMEWORK_MODELS}
    components["responses"] = {f"Fault{status}": _fault(status, meaning) for status, meaning in _FAULTS.items()}
    for path, operations in document["paths"].items():
        for method, operation in operations.items():
            _add_faults(operation["responses"], method == "post", bool(operation.get("parameters")))
            if path == "/practice/set":
                operation["responses"]["503"] = {"$ref": _ANSWER.format(name="Fault503")}
            operation["responses"] = dict(sorted(operation["responses"].items()))
    for path in ("/version", "/rules", "/levels", "/practice/set"):
        answers = document["paths"][path]["get"]["responses"]
        answers["200"]["headers"] = _TAG
        answers["304"] = {"description": "If-None-Match names this answer: keep what you have", "headers": _TAG}
    return document


def _add_faults(answers: dict[str, Any], takes_a_score: bool, has_parameters: bool) -> None:
    """Add what every operation may answer with; we answer bad values with 400, not with the framework's 422."""
    if "HTTPValidationError" in str(answers.get("422")):
        del answers["422"]
    statuses = {*_ALWAYS, *(_TAKING_A_SCORE if takes_a_score else ()), *(("400",) if has_parameters else ())}
    for status in statuses:
        answers.setdefault(status, {"$ref": _ANSWER.format(name=f"Fault{status}")})


def _fault(status: str, meaning: str) -> dict[str, Any]:
    answer: dict[str, Any] = {
        "description": meaning,
        "content": {MEDIA_TYPE: _schema({"$ref": _SCHEMA.format(model=Problem.__name__)})},
    }
    if status in ("429", "503"):
        answer["headers"] = _WAITING
    return answer
