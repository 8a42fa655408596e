"""The use cases: the only place that joins the rooms.

`seasons` reads a season with the catalogue; `attempt` takes one season through sizing, days and checks;
`choice` settles which spawn is bought; `planning` is the `plan` command's use case. Where nothing fits,
`conflict` says which statements clash, and `remedies` looks for a way out among the changes that `edits`
lists (`planting_edits`, `dormant_edits`, `lab_edits`). `kept` keeps and finds plans in the book, which
knows them by the fingerprint of their `inputs`; `views` gives plain rows for listings.

Of a season under way, `under_way` says where it stands, `recording` takes down what happened, `onwards`
plans on from there, `replanning` is the use case of that with its `differences`, and `reports` gathers what
is shown. `learning` asks the books of several seasons what they teach, and `own_figures` keeps it.
`basis_text` is what a kept plan was written from as text, `bookkeeping` copies a book out and in, and
`own_files` are those of a season that nothing else is written over.
Heavy rooms are imported where they are used, so that light commands stay light.
"""
