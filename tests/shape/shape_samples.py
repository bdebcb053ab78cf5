"""One good record and one good edition, and how the tests read and shape a text."""

from __future__ import annotations

from tautbook.lang.problem import Problem
from tautbook.lang.reading import read_tree
from tautbook.lang.source import Source
from tautbook.shape.convert import shape
from tautbook.shape.schemas import load_schema
from tautbook.shape.shaped import Shaped, ShapedMap

RECORD = """\
# yaml-language-server: $schema=../../../schemas/records/dti-lot.schema.json
procedure: dti-lot
id: TS-0412
job: wren-creek
tested: 2026-04-14
performed_by: {name: R. Vale, organisation: Erector, role: bolting crew}
observed_by: {name: M. Ito, organisation: Authority, role: inspector}
bolt: {lot: B-2217, maker: Northfield, standard: F3125, grade: A325, diameter: 7/8 in, length: 4 in,
  finish: plain}
indicator: {lot: 0217, maker: Northfield, type: 325, spaces: 5, finish: plain, position: under head,
  turned: nut, protrusions_against: head}
device: {serial: TD-3, capacity: 100 kip, graduation: 0.5 kip, calibrated: 2026-01-20, certificate: C-118}
gauge: {id: G-2, thickness: 0.005 in}
wrench: hand
head_held: true
specimens:
  - at_verification: {tension: 41 kip, refusals: 0}
    at_installation: {tension: 46 kip, spaces: [refused, through, partial, refused, through]}
    at_full_refusal: {tension: 53 kip, refusals: 5, visible_gap: true}
"""

RECORD_JSON = """\
{"procedure": "dti-lot", "id": "TS-0412", "job": "wren-creek", "tested": "2026-04-14",
 "performed_by": {"name": "R. Vale", "organisation": "Erector", "role": "bolting crew"},
 "observed_by": {"name": "M. Ito", "organisation": "Authority", "role": "inspector"},
 "bolt": {"lot": "B-2217", "maker": "Northfield", "standard": "F3125", "grade": "A325", "diameter": "7/8 in",
          "length": "4 in", "finish": "plain"},
 "indicator": {"lot": "0217", "maker": "Northfield", "type": 325, "spaces": 5, "finish": "plain",
               "position": "under head", "turned": "nut", "protrusions_against": "head"},
 "device": {"serial": "TD-3", "capacity": "100 kip", "graduation": "0.5 kip", "calibrated": "2026-01-20",
            "certificate": "C-118"},
 "gauge": {"id": "G-2", "thickness": "0.005 in"}, "wrench": "hand", "head_held": true,
 "specimens": [{"at_verification": {"tension": "41 kip", "refusals": 0},
   "at_installation": {"tension": "46 kip",
     "spaces": ["refused", "through", "partial", "refused", "through"]},
   "at_full_refusal": {"tension": "53 kip", "refusals": 5, "visible_gap": true}}]}
"""

EDITION = """\
ruleset: tern-sound
edition: "2021"
language: 1
title: Tern Sound Crossings Authority, structural bolting provisions
effective: {from: 2021-07-01}
months: clamp
sources:
  ts21: {title: Bolting provisions, year: 2021, standing: invented}
covers:
  bolt.grade: {A325: {also: [Group 120], when: bolt.standard = "F3125"}, A490: {}}
  bolt.diameter: [1/2 in, 5/8 in, 3/4 in, 7/8 in, 1 in]
tables:
  minimum_tension:
    title: minimum bolt tension
    by: [{key: bolt.grade}, {key: bolt.diameter}]
    source: {of: ts21, clause: Table 7-1, checked: {by: J. Orr, on: 2021-06-30, against: printed page 112}}
    rows:
      A325: {1/2 in: 12 kip, 5/8 in: 19 kip, 3/4 in: 28 kip, 7/8 in: 39 kip, 1 in: 51 kip}
terms:
  verification_tension:
    title: load at which refusals are counted
    is: 'nearest(1.05 * minimum_tension[bolt.grade, bolt.diameter], 1 kip, ties up)'
    clause: 7.10
procedures:
  dti-lot:
    asks: {specimens: 3}
    requirements:
      load-reached:
        title: load at which refusals were counted
        clause: 7.4(c)
        kind: setup
        voids: passes
        each: specimens
        require: |
          specimen.at_verification.tension
            >= verification_tension
        otherwise: Repeat with a new bolt and a new indicator.
left_to_people:
  - {clause: 7.2, what: certificates and markings of the lots}
programme:
  - {procedure: dti-lot, for_each: [indicator.lot, bolt.diameter, bolt.grade]}
"""


def shaped_text(
    text: str, schema: str, name: str = "sample.yaml"
) -> tuple[Shaped | None, tuple[Problem, ...]]:
    """The text read and shaped by the schema of that name; problems of reading come as they are."""
    tree, problems = read_tree(Source(name, text), "json" if name.endswith(".json") else "yaml")
    if tree is None or problems:
        return None, problems
    return shape(tree, load_schema(schema))


def good(text: str, schema: str, name: str = "sample.yaml") -> ShapedMap:
    shaped, problems = shaped_text(text, schema, name)
    assert problems == ()
    assert isinstance(shaped, ShapedMap)
    return shaped
