"""The glossary of every number (inputs, results, and what checks compute): name, meaning, unit,
formula and source; and the terms of each formula.
"""

from geometry.glossary.entries import Entry, Unit
from geometry.glossary.formula_terms import TERMS
from geometry.glossary.lookup import GLOSSARY, PLACES, entry, inputs

__all__ = [
    "GLOSSARY",
    "PLACES",
    "TERMS",
    "Entry",
    "Unit",
    "entry",
    "inputs",
]
