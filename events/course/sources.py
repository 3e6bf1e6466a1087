"""Where the rules ask for each part of a hole's description. Pure; shown quietly beside the fields.

Read in the 2025 editions.
"""

from collections.abc import Mapping

SOURCES: Mapping[str, str] = {
    "tee_kind": "Official Rules 802.04",
    "target_kind": "Official Rules 807; Competition Manual 5.05.B",
    "two_metre": "Official Rules 805.02",
    "mandatories": "Official Rules 804.01; Competition Manual 5.03.F",
    "out_of_bounds": "Official Rules 806.02; Competition Manual 5.03.F",
    "hazards": "Official Rules 806.05",
    "relief": "Official Rules 806.04",
    "casual": "Official Rules 803.01, 806.03",
    "zones": "Official Rules 805.03, 806.02, 809.01.B",
    "notes": "Official Rules 811.A; Competition Manual 5.03.H",
    "spotter": "common practice, no source",
    "elevation_m": "common practice, no source",
    "tee_at": "common practice, no source",
    "target_at": "common practice, no source",
    "shelter": "Mid-Event Suspension and Cancellation Policy, 12 October 2023; Competition Manual 5.03.I",
    "ambulance": "Emergency action plan components, J Athl Train 2019;54(1):99-105, Table 3",
}
