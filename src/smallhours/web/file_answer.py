"""A file as an answer, sent piece by piece under either kind of server."""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import IO

from asgiref.sync import sync_to_async
from django.core.handlers.asgi import ASGIRequest
from django.http import FileResponse, HttpRequest, HttpResponse, StreamingHttpResponse
from django.utils.http import content_disposition_header

_PIECE = 1 << 18


def file_answer(request: HttpRequest, out: IO[bytes], name: str, size: int) -> HttpResponse:
    """An open file to be kept under a name; it is closed when it has been sent."""
    if not isinstance(request, ASGIRequest):
        return FileResponse(out, as_attachment=True, filename=name)
    response = StreamingHttpResponse(_pieces(out), content_type="application/zip")
    response.headers["Content-Length"] = str(size)
    response.headers["Content-Disposition"] = content_disposition_header(True, name)
    response._resource_closers.append(out.close)  # also when the browser goes away in the middle
    return response


async def _pieces(out: IO[bytes]) -> AsyncIterator[bytes]:
    """An iterator that is not asynchronous would be read whole into memory before the first byte is sent."""
    while piece := await sync_to_async(out.read)(_PIECE):
        yield piece
