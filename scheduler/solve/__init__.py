"""The only room that knows the solver: a Problem in, an answer with its proof or a confirmed refusal out.

`search` walks the tiers, `replan` keeps near to an earlier plan, `fits` asks only whether there is an
answer, `explain` names rules that cannot all hold, `fixed` asks whether an exact answer is accepted. Below
them `variables`, `rules`, `aims` and `order` say a Problem in the solver's terms; `model` puts these
together; `engine` loads the solver; `look` solves one model, `again` from an answer in hand, `second` to
confirm a refusal; `nearby` betters an answer bit by bit, `packing` all at once on the days that it has,
`later` looks for later days as few, `polish` makes it unique; `params` is the one table of how hard to
search.
"""
