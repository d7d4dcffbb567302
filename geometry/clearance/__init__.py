"""What must not touch: tyre and stays, post and frame, bottles, pedals and ground, toes and
wheel; and how these checks read their numbers off a build.
"""
