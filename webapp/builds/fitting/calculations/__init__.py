"""What has to be computed to say whether a build goes together: one module a topic.

Each topic hands the numbers of one build to the pure checks of `geometry` and
yields their answers; `webapp.builds.fitting.checks` gathers them beside the rules.
"""
