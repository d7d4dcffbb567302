"""Numbers held against one another: a built bike against its drawing, and a published
table against itself.
"""
