"""How likely a planned season is to work out: thousands of seasons played with what can go wrong.

`describe` turns a kept plan into a frozen `Course`: batches, stages, plantings, and tables of the days on
which each thing can be done (`openings`). `simulate` is a pure function of a course, a number of seasons and
a seed (`dice` makes the random numbers, `grow` grows one batch). A question about another season (one more
spare, a later start) is another course (`changed`), played with the same dice; `findings` asks them all.
"""
