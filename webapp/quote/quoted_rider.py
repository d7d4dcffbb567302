"""A quote's rider, carried through every change of its build.

The frozen content of a build holds nothing of its rider: the measures are kept with the
customer, so that they can be erased. Where a build's address lacks them, as from a form, an old
link or typed by hand, they are added here before it is read.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from urllib.parse import parse_qsl, urlencode

from webapp.builds.choice.build_choice import Query
from webapp.catalogue.reading.views import Catalogue
from webapp.quote.customer import Customer


def with_kept_rider(query: Query, customer: Customer) -> dict[str, list[str]]:
    """A build's query with what is known of the customer's body.

    Parameters
    ----------
    query : mapping of str to sequence of str
        As the web gives it.
    customer : Customer

    Returns
    -------
    dict of str to list of str
        Fields of the rider in the query are kept; missing or empty ones are filled with the
        customer's.

    Examples
    --------
    >>> known = Customer(name="Ada", mail="", rider=(("stature", "1720"), ("weight", "72 kg")))
    >>> with_kept_rider({"size": ["m"], "weight": ["80 kg"]}, known)
    {'size': ['m'], 'weight': ['80 kg'], 'stature': ['1720']}
    """
    found = {name: list(values) for name, values in query.items()}
    return found | {name: [value] for name, value in _missing(query, customer)}


def build_with_kept_rider(build: str, customer: Customer) -> str:
    """The same for a build written as one field, ``knapweed?rev=2&size=m``."""
    slug, _, query = build.partition("?")
    pairs = parse_qsl(query, keep_blank_values=True)
    missing = _missing({name: [value] for name, value in pairs if value.strip()}, customer)
    if not missing:
        return build
    left_empty = {name for name, _ in missing}
    kept = [pair for pair in pairs if pair[0] not in left_empty]
    return f"{slug}?{urlencode([*kept, *missing])}"


def rideable(
    query: dict[str, list[str]], customer: Customer, catalogue: Catalogue
) -> dict[str, list[str]]:
    """A query without the customer's riding style where the shop no longer has it."""
    kept = dict(customer.rider).get("style")
    gone = kept not in {style.slug for style in (*catalogue.styles, *catalogue.former_styles)}
    return {name: v for name, v in query.items() if not (name == "style" and gone and v == [kept])}


def _missing(query: Mapping[str, Sequence[str]], customer: Customer) -> list[tuple[str, str]]:
    """Fields of the customer that a query does not give."""
    given = {name for name, values in query.items() if any(value.strip() for value in values)}
    # A new measure comes with its own way of measuring.
    given |= {f"{name}_by" for name in ("stature", "inseam") if name in given}
    return [(name, value) for name, value in customer.rider if name not in given]
