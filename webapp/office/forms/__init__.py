"""Forms made from data classes: fields, typed numbers, two people's edits merged."""
