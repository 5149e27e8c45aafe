"""A second model of engines on a dyno, from textbooks alone, to judge what the first one tuned.

Mean-value engines as in Heywood (Internal Combustion Engine Fundamentals) and Guzzella and Onder
(Introduction to Modeling and Control of Internal Combustion Engine Systems). It shares no code, no
structure and no figure with `simulators`; a test holds that nothing here imports it.
"""
