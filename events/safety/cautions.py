"""What stands on every screen and print of this slice, in one place so that none says it otherwise."""

CAUTIONS = (
    "Computed figures may differ from what is measured on the spot, and each reading shows its age.",
    "Keeping to a published limit does not guarantee protection.",
    "Local authorities, the land owner and the emergency services come first.",
    "The director may always stop play earlier.",
)
