// One finding for each requirement, and for each item of the list that it speaks of: its outcome, and what an open one
// can still come to. Then waivers, and what a fault of the test voids.

function findingsOf(of, group) {
  const found = [];
  for (const requirement of of.judged.requirements) {
    for (const [item, bound] of findingPlaces(requirement, group)) {
      found.push({ ...finding(requirement, of, group, bound), item });
    }
  }
  return found;
}

function findingPlaces({ each, singular }, group) {
  if (!each || !singular) return [[null, new Map()]];
  const data = dataAt(group, each);
  return data instanceof Items ? data.items.map((item) => [item.path, new Map([[singular, item]])]) : [];
}

function finding(requirement, of, group, bound) {
  const step = (node) => node && evaluate(node, of.judged, group, bound);
  const require = step(requirement.require), applies = step(requirement.applies);
  const exceptions = requirement.unless.map((each) => step(each.when));
  const holds = require ? require.value : stuck("no rule", requirement.absent || "this edition does not say");
  const doesApply = applies ? applies.value : true;
  const unless = exceptions.map((each) => each.value);
  const outcome = outcomeOf(holds, doesApply, unless);
  const named = requirement.unless.find((_, i) => unless[i] === true);
  const exception = outcome === "not applicable" && doesApply !== false && named ? named : null;
  const found = {
    requirement, outcome, can: new Set([outcome]), require, applies, exceptions, exception, missing: [], no_rule: [],
    voided: false, waiver: null,
  };
  if (outcome !== "open") return found;
  const reasons = united([holds, doesApply, ...unless]);
  found.can = canBecome(holds, doesApply, unless);
  found.missing = sortedPaths(new Set(reasons.missing.map((path) => gapAt(path, group))), of);
  found.no_rule = reasons.stuck.sort((a, b) => inOrder(a.by, b.by) || inOrder(a.detail, b.detail));
  return found;
}

// In this order: met; not applicable; not met, if it certainly applies and no exception holds; else open.
function outcomeOf(require, applies, unless) {
  if (require === true) return "met";
  if (applies === false || unless.includes(true)) return "not applicable";
  if (require === false && applies === true && unless.every((value) => value === false)) return "not met";
  return "open";
}

// Every outcome that is still possible, the three taken as independent of each other.
function canBecome(require, applies, unless) {
  const found = new Set();
  for (const one of futures(require)) {
    for (const two of futures(applies)) {
      for (const three of anyFuture(unless)) found.add(outcomeOf(one, two, [three]));
    }
  }
  return found;
}

// What is missing can still be supplied; what is stuck stays so, unless something missing outweighs it.
function futures(value) {
  if (!(value instanceof Open)) return [value];
  return [...(value.missing.length ? [true, false] : []), ...(value.stuck.length ? [value] : [])];
}

// What "one of these holds" can still come to, where none of them is known to hold.
function anyFuture(values) {
  const each = values.map(futures);
  const found = each.some((ways) => ways.includes(true)) ? [true] : [];
  if (each.every((ways) => ways.includes(false))) found.push(false);
  const open = each.flat().find((way) => way instanceof Open);
  return open ? [...found, open] : found;
}

// What is to be supplied: of another record that is not there at all the whole, not every field of it.
function gapAt(path, group) {
  const parts = path.split(".");
  for (let i = 0; i < parts.length - 1 && parts[i] === "evidence"; i += 2) {
    const slot = parts.slice(0, i + 2).join(".");
    if (dataAt(group, slot) === undefined) return slot;
  }
  return path;
}

// Paths as a record is written: fields in the order of the schema, item 2 before item 10.
function sortedPaths(paths, of) {
  const placed = [...paths].map((path) => [placeOf(path, of), path]);
  return placed.sort(([a, left], [b, right]) => {
    for (let i = 0; i < a.length && i < b.length; i += 1) if (a[i] !== b[i]) return a[i] - b[i];
    return a.length - b.length || inOrder(left, right);
  }).map(([, path]) => path);
}

function placeOf(path, of) {
  const place = [];
  let shape = of.record;
  for (const part of path.split(".")) {
    const [name, count] = part.split("[");
    const fields = fieldsOf(shape, of);
    const { at, below } = fields.get(name) || { at: fields.size, below: null };
    place.push(at);
    shape = below;
    if (count && shape && shape.kind === "list") {
      place.push(Number(count.slice(0, -1)));
      shape = shape.item;
    }
  }
  return place;
}

// The fields of a part as rules see them, by name, each with its place; worked out once.
const fieldsSeen = new WeakMap();

function fieldsOf(shape, of) {
  if (!shape || !["group", "evidence"].includes(shape.kind)) return new Map();
  if (!fieldsSeen.has(shape)) {
    let fields;
    if (shape.kind === "evidence") {
      const other = of.rules.procedures.get(shape.procedure);
      fields = [...fieldsOf(other.record, other)].filter(([name]) => name !== "local").map(([name, { below }]) => [name, below]);
      if (other.judged) fields.push(["verdict", { kind: "choice" }]);
    } else {
      fields = Object.entries(shape.fields).filter(([, below]) => below.kind !== "raw");
      if (shape === of.record && of.judged && of.judged.own) fields.push(["local", of.judged.own]);
    }
    fieldsSeen.set(shape, new Map(fields.map(([name, below], at) => [name, { at, below }])));
  }
  return fieldsSeen.get(shape);
}

// Waivers: leave given not to hold a requirement against a test. One acts only on a finding that is not met, of a
// requirement that names its role.
function withWaivers(findings, group, requirements) {
  const found = [...findings], ignored = [];
  const listed = group.fields.get("waivers");
  for (const item of listed instanceof Items ? listed.items : []) {
    const text = (name) => (item.fields.get(name) instanceof Leaf ? item.fields.get(name).written : null);
    const waiver = Object.fromEntries(["requirement", "item", "by", "role", "on", "why"].map((name) => [name, text(name)]));
    const requirement = requirements.find((each) => each.id === waiver.requirement);
    const spokenOf = found.filter((each) => each.requirement.id === waiver.requirement && [null, each.item].includes(waiver.item));
    const why = noEffect(waiver, requirement) || nothingToWaive(spokenOf, waiver);
    if (why) {
      ignored.push({ path: item.path, requirement: waiver.requirement, item: waiver.item, why });
      continue;
    }
    found.forEach((each, i) => {
      if (spokenOf.includes(each) && each.outcome === "not met") {
        found[i] = { ...each, outcome: "waived", can: new Set(["waived"]), waiver };
      }
    });
  }
  return { findings: found, ignored };
}

function noEffect(waiver, requirement) {
  if (!requirement) return `this edition has no requirement “${waiver.requirement}”`;
  if (requirement.kind === "advice") return "advice decides nothing and needs no waiver";
  if (!requirement.waivable_by.length) return "this edition lets nobody waive this requirement";
  const roles = requirement.waivable_by.map(folded);
  return roles.includes(folded(waiver.role || "")) ? "" : `this edition lets only ${requirement.waivable_by.join(" or ")} waive it, not ${waiver.role}`;
}

function nothingToWaive(findings, waiver) {
  const outcomes = findings.map((each) => each.outcome);
  if (outcomes.includes("not met")) return "";
  if (!outcomes.length) return `there is no finding of this requirement on “${waiver.item}”`;
  if (outcomes.includes("waived")) return "it was waived already";
  return outcomes.includes("open") ? "the requirement is still open" : "the requirement is not broken";
}

// The findings, those marked that a fault of the test voids.
function withVoiding(findings) {
  const faults = findings.filter((each) => each.requirement.kind === "setup" && each.outcome === "not met");
  return findings.map((each) => ({ ...each, voided: faults.some((fault) => voids(fault, each)) }));
}

function voids(fault, { requirement, outcome, item }) {
  if (requirement.kind !== "acceptance" || !["met", "not met"].includes(outcome)) return false;
  if (!["both", outcome === "met" ? "passes" : "failures"].includes(fault.requirement.voids)) return false;
  return fault.item === null || fault.item === item || requirement.over.includes(fault.requirement.each);
}

// Items that do not count: a fault of the test voids what they passed, or voids their failure.
function voidItems(findings) {
  const broken = findings.filter((each) => each.item !== null && each.outcome === "not met");
  const out = broken.filter(({ requirement, voided }) => (
    requirement.kind === "acceptance" ? voided : ["both", "passes"].includes(requirement.voids)
  ));
  return new Set(out.map((each) => each.item));
}
