"""Whole seasons, as growers would write them: generated, changed by hand, and impossible on purpose."""
