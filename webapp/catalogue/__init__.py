"""The catalogue: frame models with revisions and sizes, parts, prices, settings.

Modules: ``fields`` and the ``parts_*`` hold the data classes of parts,
``frame_data`` those of revisions and sizes, ``shop_data`` those of settings and
posture windows; ``tables`` the database rows; ``writing`` the validated way in;
``views`` and ``reading`` the way out; ``setup`` makes and fills a database.
"""
