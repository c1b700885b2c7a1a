"""Lesson 9: the records of a small house of lots: deliveries, batches and customers, all invented."""

from dataclasses import dataclass
from functools import cached_property

from kit.marking.draw import Draw
from kit.marking.model import Picture
from kit.process.selling.tracing import LotMove, came_from, went_into

CUSTOMERS = ("Tide Café", "Hill Inn", "Quay Shop", "Park Deli", "Mill Bistro", "Oak Hotel", "Bay Market")
_FIRST_BATCH = 41


@dataclass(frozen=True)
class LotRecords:
    """Batch sheets and dispatch notes of a few days."""

    batches: dict[str, dict[str, float]]
    dispatches: dict[str, dict[str, float]]

    @property
    def deliveries(self) -> tuple[str, ...]:
        """The deliveries that went into a batch."""
        return tuple(sorted({lot for taken in self.batches.values() for lot in taken}))

    @cached_property
    def moves(self) -> tuple[LotMove, ...]:
        """Every move of a lot that the papers show."""
        both = ((into, taken) for papers in (self.batches, self.dispatches) for into, taken in papers.items())
        return tuple(LotMove(source, into, kg) for into, taken in both for source, kg in taken.items())

    def reached(self, lot: str) -> tuple[str, ...]:
        """The customers that a lot may have reached."""
        return tuple(name for name in self.dispatches if name in went_into(self.moves, lot))

    def deliveries_of(self, name: str) -> tuple[str, ...]:
        """The deliveries from which a batch or a customer may have fish."""
        return tuple(lot for lot in came_from(self.moves, name) if lot not in self.batches)

    @property
    def words(self) -> str:
        """The papers in words."""
        made = [f"Batch {batch} took {_listed(taken, 'delivery')}." for batch, taken in self.batches.items()]
        sent = [f"{name} got {_listed(taken, 'batch')}." for name, taken in self.dispatches.items()]
        return " ".join(["Batch sheets.", *made, "Dispatch notes.", *sent])

    def picture(self) -> Picture:
        """Return the papers as a drawing of two lists."""
        data = {"batches": self.batches, "dispatches": self.dispatches, "words": self.words}
        return Picture("lot-papers", data, self.words)


def _listed(taken: dict[str, float], what: str) -> str:
    return " and ".join(f"{kg:g} kg from {what} {lot}" for lot, kg in taken.items())


def drawn_suspect(draw: Draw) -> tuple[LotRecords, str]:
    """Return records, and a delivery that reached one or more customers, and not two or more."""
    while True:
        records = drawn_records(draw)
        suspect = draw.pick(records.deliveries)
        if 0 < len(records.reached(suspect)) < len(records.dispatches) - 1:
            return records, suspect


def drawn_records(draw: Draw, customers: int = 5) -> LotRecords:
    """Return records with 4 deliveries, 4 batches and so many customers, some lots mixed."""
    deliveries = [f"D-{number}" for number in draw.sample(range(11, 40), 4)]
    batches: dict[str, dict[str, float]] = {}
    for place in range(4):
        own = [deliveries[place]]
        if draw.chance(0.5):
            own.append(draw.pick([lot for lot in deliveries if lot != own[0]]))
        batches[f"B-{_FIRST_BATCH + place}"] = {lot: draw.step(15, 30, 1) for lot in sorted(own)}
    dispatches: dict[str, dict[str, float]] = {}
    for name in draw.sample(CUSTOMERS, customers):
        codes = draw.sample(sorted(batches), 2 if draw.chance(0.35) else 1)
        dispatches[name] = {code: draw.step(0.5, 1.5, 0.25) for code in sorted(codes)}
    return LotRecords(batches, dispatches)
