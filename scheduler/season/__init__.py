"""The season file: what the grower wrote, checked, with every default filled in.

`load` reads a file and reports every fault at once. `shapes` is the file as written, `season` the season as
the planner reads it. Between them: `values`, `days`, `units` and `names` read one value each, `tables` a
whole file; `findings` gathers faults (placed by `where`, worded with `wrong`) and defaults; `people`, `lab`,
`strains`, `stock` and `planting` resolve a part each; `permissions`, `planting_checks` and `cooking` judge;
`resolve` joins. The other way, `rewrite` finds what to write into a file so that it says another season, in
the `notation` of keys and values that remedies are printed in.
"""
