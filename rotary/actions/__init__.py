"""What a person does with a plan, from the import to the last look: rows with ids, values and units, in their order.

`models` is what a front shows and a profile stores, `build` makes it from a plan, `files` names what is imported,
`typed_rows`, `by_hand` and `run` make the rows, `verdict` says how the job stands and what comes next. Nothing here
knows a screen or a paper; `sentences.actions` words every row.
"""
