"""``python -m webapp``: start the service and print its address."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from pydantic import ValidationError

from webapp.common.settings import Settings
from webapp.serving import serve


def arguments(words: Sequence[str] | None = None) -> argparse.Namespace:
    """The command line; every other setting comes from the environment."""
    parser = argparse.ArgumentParser(prog="python -m webapp", description=__doc__)
    parser.add_argument("--host", help="address to listen on (HOST; 127.0.0.1)")
    parser.add_argument("--port", type=int, help="port; 0 takes a free one (PORT; 8000)")
    parser.add_argument("--workers", type=int, help="processes that answer (WORKERS; 1)")
    parser.add_argument(
        "--empty",
        action="store_true",
        help="begin a shop of your own where there is no data yet, instead of the demo",
    )
    return parser.parse_args(words)


def main(words: Sequence[str] | None = None) -> int:
    """Run the service until it is stopped; the exit status says whether it could start."""
    typed = vars(arguments(words))
    own = typed.pop("empty")
    given = {name: value for name, value in typed.items() if value is not None}
    try:
        settings = Settings(**given)
    except ValidationError as error:
        for found in error.errors():
            print(f"{'.'.join(map(str, found['loc']))}: {found['msg']}", file=sys.stderr)
        return 2
    return 0 if serve(settings, own=own) else 1


if __name__ == "__main__":
    sys.exit(main())
