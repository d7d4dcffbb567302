"""Names of the fields of a quote's terms, for messages outside their form."""

from __future__ import annotations

from webapp.common.errors import Problem
from webapp.common.text.language import tr
from webapp.counter.builds import BUILDS
from webapp.quote.agreed_terms.deal import ADDED, AMOUNT, COUNT, REASON, TAX

LABELS = {
    "name": tr("Name"),
    "mail": tr("Mail address"),
    "note": tr("Customer's note"),
    "quantity": tr("How many"),
    "discount": tr("Discount on the whole"),
    "discount_reason": tr("Why the discount"),
    "delivery": tr("Delivery"),
    "delivery_words": tr("How it is delivered"),
    "delivery_tax": tr("Rate of tax of the delivery"),
    "destination": tr("Where it goes"),
    "deposit": tr("Deposit"),
    "traded_in": tr("Taken in payment"),
    "traded_in_amount": tr("Its value in payment"),
    "tax_number": tr("VAT number of the customer"),
    "lead_time": tr("Lead time"),
    "valid_until": tr("Valid until"),
    "message": tr("Message to the customer"),
    "workshop_note": tr("Note for the workshop"),
    **{name: tr("Build of bike {number}", number=n) for n, name in enumerate(BUILDS, start=1)},
    "total": tr("Total"),
}


def label_of(name: str) -> str:
    """What a field is called."""
    if name.startswith(ADDED):
        number = name.removeprefix(ADDED).partition("_")[0]
        if name.endswith(AMOUNT):
            return tr("Added line {number}, price of one", number=number)
        if name.endswith(COUNT):
            return tr("Added line {number}, how many", number=number)
        if name.endswith(TAX):
            return tr("Added line {number}, rate of tax", number=number)
        return tr("Added line {number}", number=number)
    if name.endswith(REASON):
        return LABELS.get(name, tr("Discount on a line, reason"))
    return LABELS.get(name, tr("Discount on a line"))


def labelled(problem: Problem) -> str:
    """A field's error with the name of the field."""
    return f"{label_of(problem.field)}: {problem.remedy}"
