"""The answer to one question a mechanic would ask (clear, tight, no or unknown), rules of
fit as data with one evaluator, and the classes of riding a bike may be used for.
"""
