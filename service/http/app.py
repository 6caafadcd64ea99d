"""The HTTP service put together: routes, the layers before them, the planners behind them."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.middleware.cors import CORSMiddleware
from starlette.routing import Route

from .. import __version__
from ..config.settings import Settings
from ..errors import ScoreError
from ..messages.message import Wording
from ..workers.pool import Pool
from . import problems
from .accept_language import accepted_language
from .middleware.headers_and_log import HeadersAndLog
from .middleware.limits import LimitsMiddleware
from .middleware.origin_check import OriginCheck
from .openapi import SUMMARY_HEADERS, describe
from .routes.about import router as about_router
from .routes.page import router as page_router
from .routes.practice import AnswerCache
from .routes.practice import router as practice_router
from .routes.scores import router as scores_router

_ABOUT = (
    "Send a score, get it back with the left hand planned. Nothing is kept between requests, "
    "nothing is written to disk."
)
_PRACTICE_SETS = 200
"""Sets that are kept because they never change; one has about 50 kB."""
_ROUTERS = (scores_router, practice_router, about_router, page_router)
_READABLE_ELSEWHERE = ("Content-Disposition", "ETag", "Retry-After", "X-Request-Id", *SUMMARY_HEADERS)


def create_app(settings: Settings | None = None) -> FastAPI:
    """Return the application; it keeps nothing of a request."""
    settings = settings or Settings()
    app = FastAPI(
        title="handframe",
        version=__version__,
        summary="Left-hand plans for string parts in MusicXML.",
        description=_ABOUT,
        docs_url=None,  # the page that comes with the framework fetches its parts from elsewhere
        redoc_url=None,
        lifespan=_lifespan,
    )
    app.state.settings = settings
    app.state.pool = Pool(settings.planner_count, settings.queue, settings.seconds)
    app.state.practice_sets = AnswerCache(_PRACTICE_SETS)
    check = OriginCheck([settings.host, *settings.hosts], settings.origins, settings.frame_origins)
    app.add_middleware(LimitsMiddleware, settings=settings)
    if check.origins:  # whoever is not listed is refused before this layer
        app.add_middleware(
            CORSMiddleware,
            allow_origins=check.origins,
            allow_methods=["*"],
            allow_headers=["*"],
            allow_private_network=True,
            expose_headers=_READABLE_ELSEWHERE,
        )
    app.add_middleware(HeadersAndLog, origin_check=check, settings=settings)
    for kind in (ScoreError, RequestValidationError, HTTPException):
        app.add_exception_handler(kind, _problem)
    for router in _ROUTERS:
        app.include_router(router)
    app.openapi = _Description(app)  # type: ignore[method-assign]
    return app


class _Description:
    """The description of an application, made once."""

    def __init__(self, app: FastAPI) -> None:
        self._app = app

    def __call__(self) -> dict[str, Any]:
        if self._app.openapi_schema is None:
            self._app.openapi_schema = describe(self._app)
        return self._app.openapi_schema


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    """Start the planners before the first request, and stop them after the last."""
    await app.state.pool.start()
    yield
    await app.state.pool.close()


def _allowed(request: Request) -> str:
    """The methods of an address; a route for this very address counts before one with a variable part."""
    path: str = request.scope["path"]
    every = [*request.app.routes, *(route for router in _ROUTERS for route in router.routes)]
    routes = [route for route in every if isinstance(route, Route)]
    exact = [route for route in routes if route.path == path]
    fitting = exact or [route for route in routes if route.path_regex.fullmatch(path)]
    return ", ".join(sorted({method for route in fitting for method in route.methods or ()}))


async def _problem(request: Request, error: Exception) -> Response:
    """Return any fault as problem details, without the framework's own text."""
    id = getattr(request.state, "request_id", None)
    return problems.problem(_score_error(request, error), id, Wording(accepted_language(request)))


def _score_error(request: Request, error: Exception) -> ScoreError:
    if isinstance(error, ScoreError):
        return error
    if isinstance(error, RequestValidationError):
        return problems.bad_query(" ".join(map(str, error.errors()[0]["loc"])))
    status = getattr(error, "status_code", 500)
    if status == problems.not_found().status:
        return problems.not_found()
    if status == problems.wrong_method("").status:
        return problems.wrong_method(_allowed(request))
    return problems.bad_query() if status < 500 else problems.our_fault()
