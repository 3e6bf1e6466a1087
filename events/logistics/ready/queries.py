"""How ready the course is: every physical hole with its work, who did it and when, and its photos."""

from dataclasses import dataclass

from events.logistics.physical import PhysicalHole, physical_holes
from events.logistics.ready.models import HolePhoto, OwnWork, WorkAct
from events.logistics.ready.preparing import OwnTask, Task, tasks_of
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class Own:
    """The director's own work; `everywhere` on every hole."""

    everywhere: tuple[OwnTask, ...]
    on: dict[int, list[OwnTask]]

    def of(self, hole_id: int) -> tuple[OwnTask, ...]:
        return (*self.everywhere, *self.on.get(hole_id, ()))


@dataclass(frozen=True, slots=True)
class Work:
    """A task with its newest act; `act` None: nobody said anything of it yet."""

    task: Task
    act: WorkAct | None

    @property
    def done(self) -> bool:
        return self.act is not None and self.act.done


@dataclass(frozen=True, slots=True)
class HoleState:
    hole: PhysicalHole
    work: tuple[Work, ...]
    photos: tuple[HolePhoto, ...]

    @property
    def open(self) -> tuple[Work, ...]:
        return tuple(work for work in self.work if not work.done)


@dataclass(frozen=True, slots=True)
class Readiness:
    holes: tuple[HoleState, ...]

    @property
    def asked(self) -> int:
        return sum(len(state.work) for state in self.holes)

    @property
    def done(self) -> int:
        return self.asked - sum(len(state.open) for state in self.holes)

    @property
    def open_holes(self) -> tuple[HoleState, ...]:
        return tuple(state for state in self.holes if state.open)


def readiness_of(event: Event) -> Readiness:
    """4 queries, whatever the number of holes, acts and photos."""
    own = own_tasks(event)
    newest = {
        (act.hole_id, act.task): act for act in WorkAct.objects.filter(hole__event=event).order_by("pk")
    }
    photos: dict[int, list[HolePhoto]] = {}
    shown = HolePhoto.objects.filter(hole__event=event, taken_back_at=None).defer("image").order_by("pk")
    for photo in shown:
        photos.setdefault(photo.hole_id, []).append(photo)
    return Readiness(
        tuple(
            HoleState(
                hole,
                tuple(
                    Work(task, newest.get((hole.id, task.key))) for task in tasks_of(hole, own.of(hole.id))
                ),
                tuple(photos.get(hole.id, ())),
            )
            for hole in physical_holes(event)
        )
    )


def own_tasks(event: Event) -> Own:
    """The director's own work that is asked for (1 query)."""
    everywhere: list[OwnTask] = []
    on: dict[int, list[OwnTask]] = {}
    for work in OwnWork.objects.filter(event=event, dropped_at=None).order_by("pk"):
        place = everywhere if work.hole_id is None else on.setdefault(work.hole_id, [])
        place.append(OwnTask(work.pk, work.words))
    return Own(tuple(everywhere), on)


@dataclass(frozen=True, slots=True)
class Waiting:
    """What the day page says: `open_work` pieces of work on `holes` holes; `begun` once anybody said anything."""

    open_work: int
    holes: int
    begun: bool


def waiting_of(event: Event) -> Waiting | None:
    """None where the course is ready, or nothing is known of it (4 queries)."""
    found = readiness_of(event)
    still = found.open_holes
    if not still:
        return None
    return Waiting(sum(len(state.open) for state in still), len(still), found.done > 0)
