"""The mail to somebody who has asked for a quote on the web."""

from __future__ import annotations

from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.mail.outbox import Message
from webapp.quote.storage.read import QuoteView


def asked_message(quote: QuoteView, link: str, *, confirmed: bool) -> Message:
    """The message that says a quote was made, and where it is.

    The address is not verified yet. So the mail holds nothing that was typed into the form,
    neither name nor note: nobody can use the form to write to somebody else's address.

    Parameters
    ----------
    quote : QuoteView
        In its first version.
    link : str
        Its private link.
    confirmed : bool
        Whether it can be ordered at once; else the shop looks at it first.

    Returns
    -------
    Message
    """
    content = quote.content
    build, shop = content.build, content.letterhead
    paragraphs = (
        tr("Good day,"),
        tr(
            "a quote was asked for on our site with this mail address. Its number is {number}: "
            "{model}, size {size}, {scope}, "
            "{total} in all.",
            number=quote.number,
            model=build.model,
            size=build.size,
            scope=build.scope_words,
            total=content.price.gross.printed,
        ),
        *_what_next(link, confirmed=confirmed),
        tr(
            "The link is private: whoever has it can read the quote and answer it. "
            "It is valid until {day_in_words}.",
            day_in_words=day_in_words(content.valid_until),
        ),
        tr("If this was not you, write to {email} and we erase it.", email=shop.email),
        f"{shop.name}\n{shop.email}",
    )
    return Message(
        to_name="",
        to_mail=quote.customer.mail,
        subject=tr("Your quote {number} from {name}", number=quote.number, name=shop.name),
        body="\n\n".join(paragraphs),
    )


def _what_next(link: str, *, confirmed: bool) -> tuple[str, ...]:
    if confirmed:
        return (tr("Read it, ask about it or order it here:\n{link}", link=link),)
    return (
        tr("Read it and ask about it here:\n{link}", link=link),
        tr(
            "What happens next: we look at it ourselves and confirm it by mail. Then you can order "
            "it there; only then do we ask for your address, and nothing is binding before."
        ),
    )
