"""The catalogue: frame models with revisions and sizes, parts, prices, settings.

``schema`` holds the data classes of frames, parts and settings; ``tables`` the
database rows; ``writing`` the validated changes; ``reading`` the views that the
rest of the service works with; ``setup`` makes and fills a database.
"""
