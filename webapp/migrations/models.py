"""All tables of all packages in one place, so that migrations see them.

A package with tables adds its module here.
"""

from webapp.catalogue import tables as catalogue_tables

TABLES = (catalogue_tables,)
