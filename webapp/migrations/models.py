"""All tables of all packages in one place, so that migrations see them.

A package with tables adds its module here.
"""

from sqlmodel import SQLModel

from webapp.accounts import tables as _accounts  # noqa: F401  # declares its tables
from webapp.catalogue import tables as _catalogue  # noqa: F401  # the same
from webapp.customers import tables as _customers  # noqa: F401  # the same
from webapp.mail import tables as _mail  # noqa: F401  # the same
from webapp.office import tables as _office  # noqa: F401  # the same
from webapp.outcomes import tables as _outcomes  # noqa: F401  # the same
from webapp.quote import tables as _quote  # noqa: F401  # the same
from webapp.quote.order import tables as _orders  # noqa: F401  # the same
from webapp.rate_limits import tables as _limits  # noqa: F401  # the same
from webapp.serials import tables as _serials  # noqa: F401  # the same

metadata = SQLModel.metadata
