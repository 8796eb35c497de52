"""The certificate that tablets have to trust, where a local network is served with our own."""

from __future__ import annotations

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse

from smallhours.web.signing import anyone


@anyone
def root(request: HttpRequest) -> HttpResponse:
    """The root certificate; it is no secret."""
    if not settings.ROOT_CERTIFICATE:
        raise Http404
    response = HttpResponse(settings.ROOT_CERTIFICATE, content_type="application/x-x509-ca-cert")
    response.headers["Content-Disposition"] = 'attachment; filename="smallhours-root.crt"'
    return response
