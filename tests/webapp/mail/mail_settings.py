"""Settings with a mail server on this machine, for tests of mails and of the outbox."""

from __future__ import annotations

from typing import Any

from webapp.common.settings import Settings

NO_SERVER = 9
"""A port on which nothing answers: what is sent waits in the outbox."""


def with_mail(settings: Settings, *, port: int = NO_SERVER, **more: Any) -> Settings:
    """The same settings, sending mail to a port of this machine."""
    server = {"smtp_host": "127.0.0.1", "smtp_port": port, "smtp_security": "none"}
    shop = {"mail_from": "shop@shop.example", "base_url": "http://shop.example"}
    return settings.model_copy(update={**server, **shop, **more})
