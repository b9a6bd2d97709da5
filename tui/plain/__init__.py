"""The desk's questions as plain lines, for a screen reader, a pipe, or whoever prefers to be asked.

The fields, their words, units and defaults are those of `tui.catalogue`, what is typed goes into the same
`tui.form.job_form`, and the same core judges it: nothing can be asked here that the desk has not, and nothing differs.

| module | what it does |
|---|---|
| `questions` | which question comes next |
| `talk` | asking, reading the answer, going back, undoing |
| `run`    | the numbers in keying order, keeping the profile, writing the card |
"""
