// What evaluating gives: a known value (quantity, word, yes or no, day, span), or an open one with the reasons why.
// And the data that rules read: groups, lists, and single recorded values, each with its path.

// A reason is { missing: path }, which recording can mend, or { by, detail }, which nothing recorded can mend.
class Open {
  constructor(reasons, atLeast = null, atMost = null) {
    this.reasons = reasons; // by a text that tells them apart
    this.atLeast = atLeast; // bounds that hold whatever the open items turn out to be; only comparisons read them
    this.atMost = atMost;
    Object.freeze(this);
  }

  get missing() {
    return [...this.reasons.values()].filter((each) => "missing" in each).map((each) => each.missing);
  }

  get stuck() {
    return [...this.reasons.values()].filter((each) => "by" in each);
  }
}

const reasonKey = (reason) => JSON.stringify("missing" in reason ? [reason.missing] : [reason.by, reason.detail]);
const openFor = (...reasons) => new Open(new Map(reasons.map((each) => [reasonKey(each), each])));
const missing = (path) => openFor({ missing: path });
const stuck = (by, detail) => openFor({ by, detail });

// One open value with the reasons of all open ones; null if every value is known.
function united(values) {
  const reasons = new Map();
  for (const value of values) {
    if (value instanceof Open) for (const [key, reason] of value.reasons) reasons.set(key, reason);
  }
  return reasons.size ? new Open(reasons) : null;
}

class Group {
  constructor(path, fields) {
    this.path = path;
    this.fields = fields; // a Map: a name that a record holds is never looked up among those of the language
  }

  below(name) {
    return this.path ? `${this.path}.${name}` : name;
  }
}

class Items {
  constructor(path, items, written = true) {
    this.path = path;
    this.items = items; // those that count: set aside ones left out, those still to come are empty groups
    this.written = written;
  }
}

class Leaf {
  constructor(path, value, written) {
    this.path = path;
    this.value = value;
    this.written = written;
  }
}

// A value that another record gives and that is not settled yet.
class Pending {
  constructor(path, open) {
    this.path = path;
    this.open = open;
  }
}

// What stands at a dotted path that runs through no list; undefined if nothing does.
function dataAt(group, path) {
  let data = group;
  for (const name of path.split(".")) data = data instanceof Group ? data.fields.get(name) : undefined;
  return data;
}

// A whole record, seen from another one that has it at `prefix`.
function placed(data, prefix) {
  const there = (path) => (path ? `${prefix}.${path}` : prefix);
  if (data instanceof Leaf) return new Leaf(there(data.path), data.value, data.written);
  if (data instanceof Items) {
    return new Items(there(data.path), data.items.map((item) => placed(item, prefix)), data.written);
  }
  if (data instanceof Pending) {
    const reasons = [...data.open.reasons.values()];
    return new Pending(
      there(data.path),
      openFor(...reasons.map((each) => ("missing" in each ? { missing: there(each.missing) } : each))),
    );
  }
  return new Group(there(data.path), new Map([...data.fields].map(([name, below]) => [name, placed(below, prefix)])));
}

// `group` with a value put at a path of names, groups made on the way.
function withLeaf(group, path, leaf) {
  const [name, ...rest] = path;
  const inner = group.fields.get(name) || new Group(group.below(name), new Map());
  return new Group(group.path, new Map([...group.fields, [name, rest.length ? withLeaf(inner, rest, leaf) : leaf]]));
}

// What a row of a table is found by, and what equal values have in common: a quantity by its size in base units.
function keyOf(value) {
  if (value instanceof Quantity) return `number ${asRatio(value.value)}`;
  if (value instanceof Day) return `day ${value.ordinal}`;
  if (value instanceof Span) return `span ${value.months} ${value.days}`;
  return `${typeof value} ${value}`;
}

// The same of an open value too: its reasons and its bounds.
function identityOf(value) {
  if (!(value instanceof Open)) {
    return value instanceof Quantity ? `${keyOf(value)} ${value.unit.powers}` : keyOf(value);
  }
  const bound = (each) => (each === null ? "" : identityOf(each));
  return JSON.stringify([[...value.reasons.keys()].sort(), bound(value.atLeast), bound(value.atMost)]);
}

const isSame = (a, b) => identityOf(a) === identityOf(b);

// A known value as people write it.
function inWords(value) {
  if (typeof value === "boolean") return value ? "yes" : "no";
  return value instanceof Quantity ? shownInFull(value) : String(value);
}

// Order of texts by their characters, the same for every language of a browser.
function inOrder(a, b) {
  const left = [...a], right = [...b];
  for (let i = 0; i < left.length && i < right.length; i += 1) {
    const difference = left[i].codePointAt(0) - right[i].codePointAt(0);
    if (difference) return difference;
  }
  return left.length - right.length;
}
