// The comparisons that a finding rests on, found in its derivation: what was observed, the limit, what is to spare.

const FLIPPED = { "<": ">", "<=": ">=", ">": "<", ">=": "<=", "=": "=", "!=": "!=" };
const NEGATED = { "=": "!=", "!=": "=", "<": ">=", "<=": ">", ">": "<=", ">=": "<" };

function comparisonsOf(step, requirement) {
  if (!step) return [];
  if (requirement.covers) return (step.node.construct === "and" ? step.parts : [step]).map(coveredComparison);
  return [...conditionsOf(step, true)];
}

const heldAs = (value, positive = true) => (value instanceof Open ? "open" : value === positive ? "met" : "not met");

// One side of a comparison. Its value is null where it is not known.
const NOTHING_KNOWN = { value: null, written: null, path: null, origins: [], term: null, over: null, raw: null };
const side = (known) => ({ ...NOTHING_KNOWN, ...known });
const comparison = (known) => ({ limit: null, margin: null, tie: false, ...known });

// Of a covered field: whether its value is one that the edition covers.
function coveredComparison(step) {
  const found = step.parts[0].parts[0];
  const raw = firstReading(found);
  const lacking = found.value instanceof Open ? found.value.missing.sort(inOrder) : [];
  const observed = raw ? ofReading(raw) : side({ path: lacking[0] || null });
  const outcome = step.value === true ? "met" : lacking.length ? "open" : "not met";
  return comparison({ observed, relation: "is covered", outcome });
}

function* conditionsOf(step, positive = true) {
  const { node, parts } = step;
  switch (node.construct) {
    case "compare": yield ofCompare(step, positive); return;
    case "not": yield* conditionsOf(parts[0], !positive); return;
    case "and": case "or": yield* joined(step, positive); return;
    case "term": yield* conditionsOf(parts[0], positive); return;
    case "if": if (!(parts[0].value instanceof Open)) yield* conditionsOf(parts[parts.length - 1], positive); return;
    case "over": yield* decisive(step, positive, (node.what === "some") === positive); return;
    case "recorded": yield ofRecorded(step, positive); return;
    case "constant": return;
    default: yield ofYesNo(step, positive);
  }
}

function* joined(step, positive) {
  const options = optionsOf(step);
  if (!options) {
    yield* decisive(step, positive, (step.node.construct === "or") === positive);
    return;
  }
  const last = options[options.length - 1], before = options.slice(0, -1).join(", ");
  const limit = side({ value: options.join(", "), written: `${before} or ${last}`, origins: options });
  yield comparison({
    observed: sideOf(step.parts[0].parts[0]), relation: positive ? "is one of" : "is none of", limit,
    outcome: heldAs(step.value, positive),
  });
}

// The words of an "is one of"; null for anything else.
function optionsOf(step) {
  if (step.node.construct !== "or") return null;
  const [first] = step.node.parts;
  const words = step.node.parts.map(({ construct, left, relation, right }) => (
    construct === "compare" && relation === "=" && right.construct === "constant" && left === first.left
      && typeof right.value === "string" ? right.value : null
  ));
  return words.includes(null) ? null : words;
}

// Of alternatives only those that hold, where one does; of things asked together, all.
function* decisive(step, positive, anyOne) {
  const holding = anyOne ? step.parts.filter((part) => part.value === positive) : [];
  for (const part of holding.length ? holding : step.parts) yield* conditionsOf(part, positive);
}

function ofCompare(step, positive) {
  let [left, right] = step.parts;
  let relation = positive ? step.node.relation : NEGATED[step.node.relation];
  if (!observes(left) && observes(right)) [left, right, relation] = [right, left, FLIPPED[relation]];
  const observed = sideOf(left);
  let limit = sideOf(right);
  if (limit.raw) limit = { ...limit, raw: null, path: null };
  limit = inUnitOf(observed, limit);
  const margin = marginOf(observed.value, relation, limit.value);
  return comparison({ observed, relation, limit, outcome: heldAs(step.value, positive), ...margin });
}

// A limit that was worked out in a unit that nobody wrote is shown in that of the reading.
function inUnitOf(observed, limit) {
  const unit = observed.value instanceof Quantity ? observed.value.unit : null;
  const { value } = limit;
  if (!unit || !(value instanceof Quantity)) return limit;
  if (!samePowers(unit.powers, value.unit.powers) || value.unit.name === unit.name) return limit;
  const written = limit.origins.some((given) => given instanceof Quantity && given.unit.name === value.unit.name);
  if (limit.path !== null || written) return limit;
  const shownSo = new Quantity(value.value, unit);
  return { ...limit, value: shownSo, written: inWords(shownSo) };
}

function marginOf(observed, relation, limit) {
  if (relation === "=" || relation === "!=") return {};
  const upTo = relation === "<" || relation === "<=";
  if (observed instanceof Quantity && limit instanceof Quantity) {
    const tie = order(observed.value, limit.value) === 0;
    // A difference of temperatures is not a temperature: it has no place on the scale.
    if (limit.unit.offset.over || observed.unit.offset.over) return { tie };
    const left = minus(limit.value, observed.value);
    return { tie, margin: new Quantity(upTo ? left : negative(left), limit.unit) };
  }
  if (observed instanceof Day && limit instanceof Day) {
    const left = limit.ordinal - observed.ordinal;
    return { tie: left === 0, margin: upTo ? left : -left };
  }
  return {};
}

function ofYesNo(step, positive) {
  const limit = side({ value: positive, written: inWords(positive), origins: [positive] });
  return comparison({ observed: sideOf(step), relation: "=", limit, outcome: heldAs(step.value, positive) });
}

function ofRecorded(step, positive) {
  const outcome = heldAs(step.value, positive);
  if (step.reading) return comparison({ observed: ofReading(step.reading), relation: "recorded", outcome });
  const lacking = step.value instanceof Open ? step.value.missing.sort(inOrder) : [];
  return comparison({ observed: side({ path: lacking[0] || step.node.of.path.join(".") }), relation: "recorded", outcome });
}

// Sides

function sideOf(step) {
  if (step.reading) return ofReading(step.reading);
  const { node, value } = step, cover = isCover(node), known = !(value instanceof Open);
  const origins = cover ? [] : [...originsOf(step)];
  const here = known ? { value, written: inWords(value) } : {};
  if (node.construct === "over" && node.of.root === null) {
    return side({ ...here, origins, over: [node.what, node.of.path.join(".")] });
  }
  if (node.construct === "term" && !cover) return ofTerm(step, here, origins);
  if (!known) {
    const alone = (node.construct === "field" || cover) && value.missing.length === 1;
    return side({ origins, path: alone ? value.missing[0] : null });
  }
  const raw = cover ? firstReading(step.parts[0]) : null;
  return side({ ...here, origins, path: raw && raw.path });
}

// A side that a term gives. If the term was given one reading, the side is that reading, seen through it.
function ofTerm(step, here, origins) {
  const { node, parts } = step;
  const one = parts.length === 2 && parts[1].node.construct === "field";
  const given = one && isOfOneDimension(parts[1].node, node) ? parts[1] : null;
  const raw = given && given.reading;
  const lacking = given && given.value instanceof Open ? given.value.missing.sort(inOrder)[0] || null : null;
  return side({ ...here, origins, path: raw ? raw.path : lacking, term: node.name, raw });
}

function dimensionOf({ kind }) {
  if (kind.quantity) return String(powersOfKind(kind));
  return ["number", "whole number"].includes(kind) ? "number" : "";
}

const isOfOneDimension = (a, b) => dimensionOf(a) === dimensionOf(b);

function ofReading({ value, written, path }) {
  return side({ value, written: typeof value === "boolean" ? inWords(value) : written, path });
}

// No name of an edition has a space; the engine's own terms, which read covered fields, do.
const isCover = (node) => node.construct === "term" && node.name.includes(" ");

// The figures that a value comes from: of terms, cells, the rule itself and readings.
function* originsOf(step) {
  for (const at of stepsBelow(step, workedOutFrom)) {
    const known = !(at.value instanceof Open);
    const stated = ["look-up", "constant"].includes(at.node.construct);
    if (known && (stated || (at.node.construct === "term" && !isCover(at.node)))) yield at.value;
    if (at.reading) yield at.reading.value;
    yield* at.between;
  }
}

// What a value was made from: not the keys that a row was found by, nor the condition of a branch.
function workedOutFrom(step) {
  if (step.node.construct === "look-up") return [];
  return step.node.construct === "if" && !(step.parts[0].value instanceof Open) ? step.parts.slice(-1) : step.parts;
}

// Whether a side reads the record, other than to find a row of a table.
function observes(step) {
  for (const { node } of stepsBelow(step, workedOutFrom)) {
    if (["field", "over"].includes(node.construct) || isCover(node)) return true;
  }
  return false;
}

function firstReading(step) {
  for (const at of stepsBelow(step)) if (at.reading) return at.reading;
  return null;
}
