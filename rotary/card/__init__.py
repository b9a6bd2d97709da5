"""8  The plan as papers a person follows at the machine."""
