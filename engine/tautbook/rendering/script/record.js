// A record as it is filed (objects, lists, texts) -> the data that rules are evaluated on, and what is wrong with it.
//
// Items set aside are left out, and an item keeps the number it was filed under, from 1. A list shorter than the
// edition asks for is filled up with items of which nothing is known. Fields that others give are worked out.

const isList = Array.isArray;
const isObject = (part) => typeof part === "object" && part !== null && !isList(part);

const FIELDS_EXPECTED = "fields are expected here";

class Observed {
  constructor() {
    this.group = null;
    this.problems = []; // { path, message }: what no verdict can be given on
    this.lacking = []; // paths of fields without which it is no record yet
    this.setAside = [];
  }

  problem(path, message) {
    this.problems.push({ path, message: String(message) });
  }
}

// The data of `record`, of procedure `of`, with the data of the records that it rests on.
function observe(record, of, ruleset, evidence) {
  const seen = new Observed();
  const rules = of.judged || { asks: new Map(), own: null };
  let group = readGroup(record, "", of.record, seen);
  if (evidence.size) {
    const below = new Map([...evidence].map(([slot, data]) => [slot, placed(data, `evidence.${slot}`)]));
    group = new Group("", new Map([...group.fields, ["evidence", new Group("evidence", below)]]));
  }
  const local = isObject(record.local) && Object.hasOwn(record.local, ruleset) ? record.local[ruleset] : undefined;
  if (rules.own && local !== undefined) {
    const own = read(local, `local.${ruleset}`, rules.own, seen);
    if (own) group = new Group("", new Map([...group.fields, ["local", own]]));
  }
  for (const [name, shape] of Object.entries(of.record.fields)) {
    if (shape.kind !== "raw" || !Object.hasOwn(record, name)) continue;
    if (!isObject(record[name])) seen.problem(name, FIELDS_EXPECTED);
    else for (const key of Object.keys(record[name])) {
      const part = record[name][key], path = `${name}.${key}`;
      if (rules.own && key === ruleset) continue;
      if (!isObject(part)) seen.problem(path, FIELDS_EXPECTED);
      onlyTexts([key, part], path, seen);
    }
  }
  group = filledUp(group, rules.asks, seen.setAside);
  for (const rule of of.derived) group = withDerived(group, rule, seen);
  for (const rule of of.sound) checkSense(group, rule, seen);
  seen.group = group;
  return seen;
}

// One part of the record; undefined where it does not read.
function read(part, path, shape, seen) {
  if (shape.kind === "group") {
    if (isObject(part)) return readGroup(part, path, shape, seen);
  } else if (shape.kind === "list") {
    if (isList(part)) return readItems(part, path, shape, seen);
  } else if (typeof part === "string") {
    const value = valueOf(part, shape);
    if (!(value instanceof Mistake)) return new Leaf(path, value, part);
    seen.problem(path, value);
    return undefined;
  }
  seen.problem(path, { group: FIELDS_EXPECTED, list: "a list is expected here" }[shape.kind] || "one value is expected here");
  return undefined;
}

// What no rule here reads: its texts, and the names in it, are texts all the same.
function onlyTexts(part, path, seen) {
  const never = typeof part === "string" && neverATextOf(part);
  if (never) seen.problem(path, never);
  else if (isList(part)) part.forEach((item, i) => onlyTexts(item, `${path}[${i + 1}]`, seen));
  else if (isObject(part)) {
    for (const name of Object.keys(part)) {
      onlyTexts(name, path, seen);
      onlyTexts(part[name], `${path}.${name}`, seen);
    }
  }
}

function readGroup(part, path, shape, seen) {
  const group = new Group(path, new Map());
  for (const name of Object.keys(part)) {
    if (!Object.hasOwn(shape.fields, name)) {
      seen.problem(group.below(name), "there is no field of this name");
      continue;
    }
    const below = shape.fields[name];
    // Other records are judged on their own; what stands under `local` is read by its own authority alone.
    if (below.kind === "raw" || name === "evidence" && !path) continue;
    const data = read(part[name], group.below(name), below, seen);
    if (data !== undefined) group.fields.set(name, data);
  }
  for (const name of shape.required || []) if (!Object.hasOwn(part, name)) seen.lacking.push(group.below(name));
  return group;
}

function readItems(part, path, shape, seen) {
  const items = [];
  if (part.length < shape.least) seen.problem(path, "nothing is listed here");
  if (part.length > ENGINE.limits.items) seen.problem(path, "more is listed here than is read");
  part.slice(0, ENGINE.limits.items).forEach((item, i) => {
    const place = `${path}[${i + 1}]`;
    const data = read(item, place, shape.item, seen);
    if (isObject(item) && Object.hasOwn(item, "set_aside")) seen.setAside.push(place);
    else if (data !== undefined) items.push(data);
  });
  if (shape.points) rising(items, shape.points, seen);
  return new Items(path, items);
}

// Points stand in rising order, or two of them could say different things of one place.
function rising(items, where, seen) {
  for (let i = 1; i < items.length; i += 1) {
    const [before, after] = [items[i - 1], items[i]].map((item) => item.fields.get(where));
    if (before && after && order(before.value.value, after.value.value) >= 0) {
      seen.problem(after.path, `“${after.written}” follows “${before.written}”, and this must rise from line to line`);
    }
  }
}

function filledUp(group, asks, setAside) {
  const fields = new Map(group.fields);
  const numberOf = (path) => Number(path.slice(path.lastIndexOf("[") + 1, -1));
  for (const [name, wanted] of asks) {
    const there = fields.get(name);
    const items = there ? there.items : [];
    const used = [...items.map((item) => item.path), ...setAside.filter((path) => path.startsWith(`${name}[`))];
    const last = Math.max(0, ...used.map(numberOf));
    const still = [];
    for (let n = items.length; n < wanted; n += 1) {
      still.push(new Group(`${name}[${last + still.length + 1}]`, new Map()));
    }
    fields.set(name, new Items(name, [...items, ...still], there !== undefined));
  }
  return new Group(group.path, fields);
}

// The record itself, or every item of a list that is there, each with what it is called in the rule.
function placesOf(group, { each, singular }) {
  if (!each) return [[group, new Map()]];
  const listed = dataAt(group, each);
  const items = listed instanceof Items ? listed.items : [];
  return items.filter((item) => item instanceof Group).map((item) => [item, new Map([[singular, item]])]);
}

// `group` with the field filled in wherever others give it.
function withDerived(group, rule, seen) {
  const filled = placesOf(group, rule).map(([place, bound]) => filledIn(place, bound, rule, group, seen));
  if (!rule.each) return filled[0];
  const listed = group.fields.get(rule.each);
  if (!(listed instanceof Items)) return group;
  return new Group(group.path, new Map([...group.fields, [rule.each, new Items(listed.path, filled, listed.written)]]));
}

function filledIn(place, bound, rule, record, seen) {
  const come = (node) => evaluate(node, NO_RULES, record, bound).value;
  if (rule.when && come(rule.when) !== true) return place;
  let value = come(rule.value);
  if (value instanceof Open && rule.otherwise) value = come(rule.otherwise);
  if (value instanceof Open) return place;
  const there = dataAt(place, rule.path.join("."));
  if (!(there instanceof Leaf)) {
    return withLeaf(place, rule.path, new Leaf(place.below(rule.path.join(".")), value, inWords(value)));
  }
  if (!rule.when && !isSame(there.value, value)) {
    seen.problem(there.path, `this says ${there.written}, and what is recorded beside it gives ${inWords(value)}`);
  }
  return place;
}

// What no real test can show.
function checkSense(group, rule, seen) {
  for (const [place, bound] of placesOf(group, rule)) {
    if (evaluate(rule.require, NO_RULES, group, bound).value === false) {
      const path = rule.singular ? place.path + rule.at.slice(rule.singular.length) : rule.at;
      seen.problem(path, new Mistake(rule.message, rule.help));
    }
  }
}
