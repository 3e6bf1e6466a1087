"""The demo's emergency plan: whole but for the day on which all staff go through it, until that day has come."""

from datetime import datetime, time, timedelta

from events.log.services import Actor
from events.safety.duties import save_plan
from events.setup.models import Event

ACTOR = Actor(name="demo")
FACTS = {
    "venue": "Harbour Hollow Park",
    "address": "Gate A, 3 Boathouse Lane, Port Sable",
    "gates": "A, car park: 43.6512, -0.2531\nB, gravel road: 43.6540, -0.2558\nC, boat house: 43.6498, -0.2502",
    "ambulance_gate": "Gate B, key in the box with the code that the lead has. The marshal of holes 1 to 9 meets it.",
    "map": "Beside the board, and in the card room",
    "emergency_number": "112",
    "communication": "Radio channel 1 for everybody, 2 for first aid. Without radio: the numbers on the crew list.",
    "hospital": "Sable General, 9 km, Dock Road 40",
    "transport": "A helper drives who can walk and speak. Head, chest, back, heat and lightning: the ambulance only.",
    "may_stop": "The director, the deputy, the weather watcher",
    "aed": "Card room, beside the door; a second one in the first-aid cart",
    "first_aid": "Card room, first-aid cart, boat house",
    "capacity": "Boat house 80\nBarn behind hole 9 40\nSchool hall 300",
    "muster": "The lawn between the car park and the card room",
    "lead": "Ondine Kestrel, channel 1",
    "deputy": "The head official, channel 1",
    "chain": "The official on duty in the card room",
    "weather": "The weather watcher, channel 1",
    "communications": "Ondine Kestrel",
    "medical": "Two first-aiders, channel 2",
    "marshals": "Holes 1 to 9: the head official\nHoles 10 to 18: the second official",
    "parking": "Two volunteers, channel 4",
    "made_with": "Ambulance service of Port Sable, the park’s ranger, the two first-aiders",
    "medical_review": "Both first-aiders walked the course with the lead",
    "documenting": "Each incident on its page the same day; the director keeps them for three years",
    "posted": "Card room, board, first-aid cart",
}  # fmt: skip


def add_emergency_plan(event: Event, *, now: datetime) -> None:
    """Written a month before; gone through with the staff the evening before the first day, if that is past."""
    written = min(now, event.at(event.starts_on - timedelta(days=30), time(20)))
    facts = FACTS | {"rehearsed_on": (event.starts_on - timedelta(days=9)).isoformat()}
    evening = event.starts_on - timedelta(days=1)
    gone_through = evening < event.local(now).date()
    if gone_through:
        facts |= {"given_on": evening.isoformat()}
    if written.date() < event.starts_on - timedelta(days=9) and not gone_through:
        facts.pop("rehearsed_on")
    save_plan(event=event, facts=facts, version=0, actor=ACTOR, now=written)
