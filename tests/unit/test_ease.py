"""What becomes easier in an excursion in which none of the usual counts falls."""

from __future__ import annotations

from dataclasses import replace

from rules import ALL, Spared, ease, explain, propose
from rules.cost.aspects import by_aspect
from rules.proposal.ease import LEAST_EASE, saving_by_term
from tests.notation import read_passage

TURNING = "D4:1 E4 F#4 G4 | (G#3:1/2 A3 G#3 A3 G#3 A3 G#3 A3) | D4:1 E4 F#4 G4"
"""G sharp and A in turn on the lowest string: common practice takes them in half position, a finger for each."""


def test_semitone_slides_that_half_position_spares_are_counted() -> None:
    planned = propose(read_passage(TURNING), ALL)
    (proposal,) = planned.proposals
    assert proposal.excursion.positions == (0,)
    found = ease(planned, proposal.excursion)
    assert found is not None
    assert (found.spared, found.before, found.after) == (Spared.SEMITONE_SLIDES, 7, 0)


def test_a_small_saving_is_no_reason() -> None:
    planned = propose(read_passage(TURNING), ALL)
    (proposal,) = planned.proposals
    saved = saving_by_term(
        planned.home, planned.plan, proposal.excursion, planned.first_position.routes, planned.routes
    )
    assert sum(saved.values()) >= LEAST_EASE
    at_home = replace(planned, plan=planned.home)
    assert ease(at_home, proposal.excursion) is None, "against itself first position saves nothing"


def test_the_saving_by_term_is_that_by_aspect() -> None:
    planned = propose(read_passage(TURNING), ALL)
    (explained,) = explain(planned).proposals
    of = planned.home, planned.plan, explained.proposal.excursion, planned.first_position.routes, planned.routes
    assert dict(explained.saving) == by_aspect(saving_by_term(*of))
