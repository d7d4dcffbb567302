"""The papers that go with mails: the sheet of a version, and the hand-over sheet."""

from __future__ import annotations

import typst
from sqlalchemy import Engine

from webapp.catalogue.marks.kept import mark_on_paper
from webapp.common.errors import NotFound
from webapp.common.storage.database import reading
from webapp.common.text.language import tr
from webapp.mail.attaching import Attach, Attachment, CannotAttach
from webapp.quote.printing.handover import handover_pdf, handover_sheet
from webapp.quote.printing.pdf import quote_pdf
from webapp.quote.storage.read import quote_by_number, view_of

_QUOTE, _HANDOVER = "quote", "hand-over"


def quote_paper(number: str, version: int) -> str:
    """Names the sheet of a version in the outbox."""
    return f"{_QUOTE} {number} {version}"


def handover_paper(number: str) -> str:
    """Names the hand-over sheet of an order in the outbox."""
    return f"{_HANDOVER} {number}"


def papers_with_mail(engine: Engine, base: str) -> Attach:
    """Make the papers that the outbox names, as they are when the mail is sent.

    Parameters
    ----------
    engine : Engine
    base : str
        Public address of the service, for the links that are printed.
    """

    def make(named: str) -> Attachment:
        kind, number, *rest = named.split()
        try:
            if kind == _HANDOVER:
                return _handover(engine, number)
            return _quote(engine, base, number, int(rest[0]))
        except (NotFound, typst.TypstError) as error:
            remedy = tr("{paper} cannot be printed: {why}", paper=named, why=str(error))
            raise CannotAttach(remedy) from error

    return make


def _quote(engine: Engine, base: str, number: str, version: int) -> Attachment:
    with reading(engine) as session:
        quote = quote_by_number(session, number)
        view = view_of(session, quote, version)
        link = f"{base}/q/{quote.token}"
        mark = mark_on_paper(session, view.content.letterhead.mark)
    document = quote_pdf(view, link=link, paper=view.content.paper, firm_mark=mark)
    return Attachment(name=f"quote-{number}-version-{version}.pdf", content=document)


def _handover(engine: Engine, number: str) -> Attachment:
    with reading(engine) as session:
        sheet = handover_sheet(session, quote_by_number(session, number))
    return Attachment(name=f"hand-over-{number}.pdf", content=handover_pdf(sheet))
