"""What every number is called, what it means, its unit, formula and source: inputs,
results, and what checks compute; and which terms each formula is made of.
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
