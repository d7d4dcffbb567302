"""What the shop writes to a customer: sent by mail, or shown to be copied."""

from __future__ import annotations

from urllib.parse import quote as quoted

from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.mail.outbox import Message
from webapp.quote.freezing.bikes import names_of
from webapp.quote.storage.read import QuoteView


def quote_message(quote: QuoteView, link: str) -> Message:
    """The message that goes with a version when it is sent."""
    content = quote.content
    model, size = names_of(content)
    paragraphs = [
        tr("Good day {name},", name=quote.customer.name),
        tr(
            "your quote {number}, version {version}: "
            "{model}, size {size}, {scope}, "
            "{total} in all.",
            number=quote.number,
            version=quote.version,
            model=model,
            size=size,
            scope=content.build.scope_words,
            total=content.price.gross.printed,
        ),
        content.deal.message,
        tr("Read it, ask about it or accept it here:\n{link}", link=link),
        tr(
            "It is valid until {day}. Lead time is {lead_time} from the deposit of {deposit}.",
            day=day_in_words(content.valid_until),
            lead_time=content.lead_time,
            deposit=content.price.deposit.printed,
        ),
        f"{content.letterhead.name}\n{content.letterhead.email}",
    ]
    return Message(
        to_name=quote.customer.name,
        to_mail=quote.customer.mail,
        subject=tr(
            "Your quote {number} from {name}", number=quote.number, name=content.letterhead.name
        ),
        body="\n\n".join(p for p in paragraphs if p),
    )


def approved_message(quote: QuoteView, link: str) -> Message:
    """The message that says that what was asked for on the web can be ordered now."""
    content = quote.content
    shop = content.letterhead
    model, size = names_of(content)
    paragraphs = (
        tr("Good day {name},", name=quote.customer.name),
        tr(
            "we have looked at your quote {number} and confirm it: {model}, size {size}, {scope}, "
            "{total} in all.",
            number=quote.number,
            model=model,
            size=size,
            scope=content.build.scope_words,
            total=content.price.gross.printed,
        ),
        tr("You can order it here until {day}:\n{link}", day=day_in_words(content.valid_until),
           link=link),
        tr(
            "When you order we ask for your address and that you agree to our terms. The deposit "
            "is {deposit}; lead time is {lead_time} from then.",
            deposit=content.price.deposit.printed,
            lead_time=content.lead_time,
        ),
        f"{shop.name}\n{shop.email}",
    )  # fmt: skip
    return Message(
        to_name=quote.customer.name,
        to_mail=quote.customer.mail,
        subject=tr("Your quote {number} is confirmed", number=quote.number),
        body="\n\n".join(paragraphs),
    )


def answer_message(quote: QuoteView, link: str, answer: str) -> Message:
    """The message that carries an answer to a customer's question."""
    letterhead = quote.content.letterhead
    paragraphs = [
        tr("Good day {name},", name=quote.customer.name),
        answer,
        tr("Your quote {number}:\n{link}", number=quote.number, link=link),
        f"{letterhead.name}\n{letterhead.email}",
    ]
    return Message(
        to_name=quote.customer.name,
        to_mail=quote.customer.mail,
        subject=tr(
            "About your quote {number} from {name}", number=quote.number, name=letterhead.name
        ),
        body="\n\n".join(paragraphs),
    )


def mail_link(message: Message) -> str:
    """The message as a link that opens the shop's own mail program."""
    subject, body = quoted(message.subject), quoted(message.body.replace("\n", "\r\n"))
    return f"mailto:{quoted(message.to_mail)}?subject={subject}&body={body}"
