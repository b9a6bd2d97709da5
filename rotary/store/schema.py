"""The JSON schema of a profile file."""

from typing import Any

from rotary.job import job_schema, tidied
from rotary.store.record import Record


def profile_schema() -> dict[str, Any]:
    """The schema of a profile, as published in docs/profile.schema.json: a job file's, with the table ``[saved]``."""
    schema = job_schema()
    record = tidied(Record.model_json_schema(by_alias=True, mode="validation"))
    inner = record.pop("$defs")
    # A proof holds a whole job, which is this very schema without what is kept.
    job = inner.pop("Job")
    schema["$defs"] |= {name: table for name, table in inner.items() if name not in schema["$defs"]}
    schema["$defs"]["ProvenJob"] = {
        "type": "object",
        "properties": {name: schema["properties"][name] for name in job["properties"]},
        "required": job["required"],
        "additionalProperties": False,
    }
    schema["$defs"]["Proof"]["properties"]["job"] = {"$ref": "#/$defs/ProvenJob"}
    record.pop("title", None)
    schema["properties"]["saved"] = record
    schema["required"] = [*schema["required"], "saved"]
    schema["title"] = "Item profile of rotary"
    return schema
