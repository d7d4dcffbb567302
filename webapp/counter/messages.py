"""What the shop writes to a customer: sent by mail, or shown to be copied."""

from __future__ import annotations

from webapp.mail.outbox import Message
from webapp.quote.printing.sheet import day_in_words
from webapp.quote.storage.read import QuoteView


def quote_message(quote: QuoteView, link: str) -> Message:
    """The message that goes with a version when it is sent."""
    content = quote.content
    build = content.build
    paragraphs = [
        f"Good day {quote.customer.name},",
        f"your quote {quote.number}, version {quote.version}: "
        f"{build.model}, size {build.size}, {build.scope_words}, "
        f"{content.price.gross.printed} in all.",
        content.deal.message,
        f"Read it, ask about it or accept it here:\n{link}",
        f"It is valid until {day_in_words(content.valid_until)}. "
        f"Lead time is {content.lead_time} from the deposit of {content.price.deposit.printed}.",
        f"{content.letterhead.name}\n{content.letterhead.email}",
    ]
    return Message(
        to_name=quote.customer.name,
        to_mail=quote.customer.mail,
        subject=f"Your quote {quote.number} from {content.letterhead.name}",
        body="\n\n".join(p for p in paragraphs if p),
    )


def answer_message(quote: QuoteView, link: str, answer: str) -> Message:
    """The message that carries an answer to a customer's question."""
    letterhead = quote.content.letterhead
    paragraphs = [
        f"Good day {quote.customer.name},",
        answer,
        f"Your quote {quote.number}:\n{link}",
        f"{letterhead.name}\n{letterhead.email}",
    ]
    return Message(
        to_name=quote.customer.name,
        to_mail=quote.customer.mail,
        subject=f"About your quote {quote.number} from {letterhead.name}",
        body="\n\n".join(paragraphs),
    )
