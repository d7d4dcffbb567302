"""``python -m webapp``: start the service and print its address."""

from __future__ import annotations

import argparse
import socket
import sys
from collections.abc import Sequence

import uvicorn
from fastapi import FastAPI
from pydantic import ValidationError
from sqlalchemy import Engine

from webapp.accounts.links import link_for_builder
from webapp.app import create_app
from webapp.catalogue.writing_shop import settings_data
from webapp.ground.database import writing
from webapp.ground.moments import now
from webapp.ground.settings import Settings


class Announcing(uvicorn.Server):
    """Prints the address once requests are answered, not before."""

    def __init__(self, config: uvicorn.Config, app: FastAPI) -> None:
        super().__init__(config)
        self.app = app

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start as usual, then say where."""
        await super().startup(sockets)
        if self.started:
            host, port = self.servers[0].sockets[0].getsockname()[:2]
            shown = f"[{host}]" if ":" in host else host
            address = f"http://{shown}:{port}"
            print(f"Serving at {address}/", flush=True)
            if path := first_link(self.app.state.engine):
                base = self.app.state.settings.base_url or address
                print(f"Builder, set your password (works once): {base}{path}", flush=True)


def first_link(engine: Engine) -> str | None:
    """A link for the builder while nobody has set the builder's password, else None."""
    with writing(engine) as session:
        mail = settings_data(session).letterhead.email
        return link_for_builder(session, mail=mail, at=now())


def arguments(words: Sequence[str] | None = None) -> argparse.Namespace:
    """The command line; every other setting comes from the environment."""
    parser = argparse.ArgumentParser(prog="python -m webapp", description=__doc__)
    parser.add_argument("--host", help="address to listen on (HOST; 127.0.0.1)")
    parser.add_argument("--port", type=int, help="port; 0 takes a free one (PORT; 8000)")
    return parser.parse_args(words)


def main(words: Sequence[str] | None = None) -> int:
    """Run the service until it is stopped; the exit status says whether it could start."""
    given = {name: value for name, value in vars(arguments(words)).items() if value is not None}
    try:
        settings = Settings(**given)
    except ValidationError as error:
        for found in error.errors():
            print(f"{'.'.join(map(str, found['loc']))}: {found['msg']}", file=sys.stderr)
        return 2
    app = create_app(settings)
    config = uvicorn.Config(app, host=settings.host, port=settings.port, log_level="warning")
    server = Announcing(config, app)
    server.run()
    return 0 if server.started else 1


if __name__ == "__main__":
    sys.exit(main())
