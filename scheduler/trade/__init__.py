"""What the trade knows: species, methods, woods, lab figures, cautions, each number with basis and source.

`places` finds the data folders, `reading` turns one TOML file into one of the `shapes` (`species`, `lab`,
`preseason` and others have files of their own), `names` knows what a grower may call things, `walk` visits
every figure, and `catalogue` puts them together. `own` is the file of what a grower's own books have taught.
"""
