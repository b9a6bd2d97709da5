"""The form of a job: fields, values, rows, hints; and one file for each special form. No terminal in here."""
