"""What everything else stands on: angles in degrees, numbers checked at the door, and the
errors that name field, value and remedy.
"""
