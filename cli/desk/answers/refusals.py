"""What is answered where something cannot be done, or where nobody foresaw it."""

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from cli.desk.tables import ChangedOutsideError

__all__ = ["mistaken", "refused"]


def refused(_request: Request, error: Exception) -> Response:
    """Answer in words what could not be done."""
    status = 409 if isinstance(error, ChangedOutsideError) else 422
    return PlainTextResponse(str(error), status)


def mistaken(_request: Request, error: Exception) -> Response:
    """Say that nobody foresaw this, with no traceback."""
    words = f"Windowfall made a mistake, which is not your wall's fault ({type(error).__name__}). Load the page again."
    return PlainTextResponse(words, 500)
