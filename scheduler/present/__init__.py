"""Finished values in, text out: nothing is decided, looked up or solved here.

`terminal` is a plan on the screen, the answer first; its sections are `answer` (what to do first, gates),
`timeline`, `bench` (batches, family tree, spares), `todo` (the next work), `cautions`, `trust` (assumptions,
figures, proofs) and `changes`. `refusal` shows a season that does not fit, `faults` every error, `checks`
the answer of a check, `profiles` the catalogue. A season under way is shown by `today` (from the plain words
of `pages`), `overview`, `story` (one batch), `replanned` and `entries`; `states` tells in what state a batch
is, by what was recorded of it, and `learned` what the books teach. `running_order` is the page of a planting
day, `helpers_calendar` the same as a calendar. `words` and `dates` hold the wording of rules and days,
`layout` the folding and columns, `progress` the line of a long search. `calendar` writes the calendar file,
which `calendar_check` reads over in the tests, and `files` puts any file in place whole.
"""
