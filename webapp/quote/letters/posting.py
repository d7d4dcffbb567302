"""Mails about quotes: to the customer, and to the shop itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session

from webapp.catalogue.reading.settings import settings_data
from webapp.common.text.language import tr
from webapp.mail.outbox import Message, about_shop, post
from webapp.quote.freezing.bikes import names_of
from webapp.quote.storage.read import QuoteView, view_of
from webapp.quote.tables import Quote


@dataclass(frozen=True, kw_only=True)
class Letters:
    """Sends mails about quotes, where mail is set up; knows the site's address for links."""

    sends_mail: bool
    base: str

    def link(self, quote: Quote) -> str:
        """The customer's link."""
        return f"{self.base}/q/{quote.token}"

    def to_customer(
        self, session: Session, quote: Quote, message: Message, *, key: str, at: datetime
    ) -> None:
        """Write to the customer, where mail is sent and they have an address and the link."""
        if self.sends_mail and message.to_mail and quote.sent_version:
            post(session, message, key=key, about=quote.number, at=at)

    def to_shop(
        self, session: Session, quote: Quote, subject: str, text: str, *, key: str, at: datetime
    ) -> None:
        """Tell the shop what a customer did, where mail is sent.

        Parameters
        ----------
        session : Session
        quote : Quote
        subject : str
            What happened; the subject of the mail.
        text : str
            What the customer wrote; may be empty.
        key : str
            Names the occasion.
        at : datetime
        """
        if not self.sends_mail:
            return
        shop = settings_data(session).letterhead
        view = view_of(session, quote)
        paragraphs = (
            subject,
            _about(view),
            text,
            f"{self.base}/counter/quotes/{quote.number}",
        )
        message = Message(
            to_name=shop.name,
            to_mail=shop.email,
            subject=subject,
            body="\n\n".join(filter(None, paragraphs)),
        )
        post(session, message, key=f"shop-{key}", about=about_shop(quote.number), at=at)


def _about(view: QuoteView) -> str:
    """Whom and what a mail to the shop is about."""
    model, size = names_of(view.content)
    return tr(
        "{name}, {mail}: {model}, size {size}, {total}",
        name=view.customer.name,
        mail=view.customer.mail or tr("no mail address"),
        model=model,
        size=size,
        total=view.content.price.gross.printed,
    )
