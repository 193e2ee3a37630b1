"""Events that still stand on a machine, with the part families worth a look and what to try first on each."""

from __future__ import annotations

from dataclasses import dataclass

from partsbin.depot.audits import event_hints
from partsbin.depot.catalogue import first_checks_of
from partsbin.depot.file import Depot
from partsbin.exchange.audit import AuditReading
from partsbin.exchange.audit_events import EventHint, Lead, leads


@dataclass(frozen=True, slots=True)
class FamilyLead:
    """An event that still stands, with the part families worth a look and what to try first on each."""

    lead: Lead
    checks: tuple[tuple[str, tuple[str, ...]], ...]

    def sentence(self) -> str:
        """The lead in one line, with the code as the machine wrote it."""
        hint, event = self.lead.hint, self.lead.event
        if hint is None:
            return f"event “{event.raw.strip()}” stands: not a known code, nothing follows from it"
        families = ", ".join(hint.families) or "no part"
        return f"event {event.raw.strip()} stands: {hint.text or 'see the checks'} ({families})"


def event_leads(depot: Depot, reading: AuditReading) -> list[FamilyLead]:
    """Return what the events of a reading that still stand point to, with first checks; they never order anything."""
    hints = [
        EventHint(code, tuple(f for f in families.split("|") if f), symptom, text)
        for code, families, symptom, text in event_hints(depot)
    ]
    return [FamilyLead(lead, _checks(depot, lead)) for lead in leads(reading.active_events, hints)]


def _checks(depot: Depot, lead: Lead) -> tuple[tuple[str, tuple[str, ...]], ...]:
    if lead.hint is None:
        return ()
    found = []
    for family in lead.hint.families:
        checks = first_checks_of(depot, family)
        of_symptom = [text for symptom, text in checks if symptom == lead.hint.symptom]
        found.append((family, tuple(of_symptom or [text for _, text in checks])))
    return tuple(found)
