// Kernel tree and data -> value, with the derivation kept beside it. The same walk as the engine's lang/evaluate.py.

// One node, what it came to, and the steps it was made from. A field also has its reading, and an interpolation the
// values that it lies between.
class Step {
  constructor(node, value, parts = [], reading = null, between = []) {
    Object.assign(this, { node, value, parts, reading, between });
  }
}

// Where evaluation stands: what names mean here, and the terms already worked out.
class Place {
  constructor(rules, record, bound, parameters = new Map(), done = new Map()) {
    Object.assign(this, { rules, record, bound, parameters, done });
  }

  with(singular, item) {
    const bound = new Map([...this.bound, [singular, item]]);
    return new Place(this.rules, this.record, bound, this.parameters, this.done);
  }
}

function evaluate(node, rules, record, bound = new Map()) {
  return stepOf(node, new Place(rules, record, bound));
}

// The data at a field, or the path at which nothing was recorded.
function resolve(node, place) {
  let data = node.root === null ? place.record : place.bound.get(node.root);
  for (let i = 0; i < node.path.length; i += 1) {
    const below = data instanceof Group ? data.fields.get(node.path[i]) : undefined;
    if (below === undefined) return [data.path, ...node.path.slice(i)].filter(Boolean).join(".");
    data = below;
  }
  return data instanceof Group && !data.fields.size ? data.path : data;
}

function stepOf(node, place) {
  const part = (of) => stepOf(of, place);
  const one = (of, work) => {
    const step = part(of);
    return new Step(node, work(step.value), [step]);
  };
  const two = (a, b, work) => {
    const left = part(a), right = part(b);
    return new Step(node, work(left.value, right.value), [left, right]);
  };
  const all = (nodes, work) => {
    const steps = nodes.map(part);
    return new Step(node, work(steps.map((step) => step.value)), steps);
  };
  switch (node.construct) {
    case "constant": return new Step(node, node.value);
    case "no rule": return new Step(node, openFor(node.reason));
    case "field": return field(node, place);
    case "recorded": return recorded(node, place);
    case "parameter": return new Step(node, place.parameters.get(node.name).value, [place.parameters.get(node.name)]);
    case "term": return term(node, place);
    case "look-up": return all(node.keys, (keys) => lookedUp(place.rules.tables.get(node.table), keys));
    case "band": return one(node.of, (of) => bandOf(place.rules.tables.get(node.table).bands[node.axis], of, node.table));
    case "negate": return one(node.of, negated);
    case "absolute": return one(node.of, absolute);
    case "round": return one(node.of, (of) => rounded(node.way, of, node.step, node.ties));
    case "not": return one(node.of, opposite);
    case "add": return two(node.left, node.right, sum);
    case "multiply": return two(node.left, node.right, product);
    case "divide": return two(node.left, node.right, quotient);
    case "shift": return two(node.date, node.by, (date, by) => later(date, by, place.rules.months));
    case "days between": return two(node.left, node.right, daysFrom);
    case "compare": return two(node.left, node.right, (left, right) => compared(left, node.relation, right));
    case "and": return all(node.parts, allOf);
    case "or": return all(node.parts, anyOf);
    case "if": return conditional(node, place);
    case "over": return over(node, place);
    case "interpolate": return interpolate(node, place);
    default: throw new Error(`a rule has a node that this page does not know: ${node.construct}`);
  }
}

function field(node, place) {
  const data = resolve(node, place);
  if (data instanceof Leaf) return new Step(node, data.value, [], data);
  if (data instanceof Pending) return new Step(node, data.open);
  return new Step(node, missing(typeof data === "string" ? data : data.path));
}

function recorded(node, place) {
  const data = resolve(node.of, place);
  if (data instanceof Items && !data.written) return new Step(node, missing(data.path));
  if (data instanceof Pending) return new Step(node, data.open);
  return new Step(node, typeof data === "string" ? missing(data) : true, [], data instanceof Leaf ? data : null);
}

// A term reads the record, never the item that its caller speaks of. Its body is worked out once for equal arguments.
function term(node, place) {
  const given = node.arguments.map((argument) => stepOf(argument, place));
  const key = JSON.stringify([node.name, ...given.map((step) => identityOf(step.value))]);
  if (!place.done.has(key)) {
    const { parameters, body } = place.rules.terms.get(node.name);
    const named = new Map(parameters.map((name, i) => [name, given[i]]));
    place.done.set(key, stepOf(body, new Place(place.rules, place.record, new Map(), named, place.done)));
  }
  const body = place.done.get(key);
  return new Step(node, body.value, [body, ...given]);
}

function conditional(node, place) {
  const condition = stepOf(node.condition, place);
  // A branch that the condition compared is not worked out again: largest(a, b) would double the work at every level.
  const branch = (of) => condition.parts.find((part) => part.node === of) || stepOf(of, place);
  if (condition.value instanceof Open) {
    const then = branch(node.then), otherwise = branch(node.otherwise);
    return new Step(node, chosen(condition.value, then.value, otherwise.value), [condition, then, otherwise]);
  }
  const taken = branch(condition.value ? node.then : node.otherwise);
  return new Step(node, taken.value, [condition, taken]);
}

function over(node, place) {
  const data = resolve(node.of, place);
  if (!(data instanceof Items)) return new Step(node, missing(typeof data === "string" ? data : data.path));
  const steps = data.items.map((item) => stepOf(node.body, place.with(node.singular, item)));
  if (node.what === "sum" && !steps.length && node.kind.quantity) {
    return new Step(node, new Quantity(ZERO, coherentUnit(powersOfKind(node.kind))));
  }
  return new Step(node, overAll(node.what, steps.map((step) => step.value), data.path), steps);
}

function interpolate(node, place) {
  const at = stepOf(node.at, place);
  const data = resolve(node.points, place);
  if (!(data instanceof Items)) {
    return new Step(node, united([at.value, missing(typeof data === "string" ? data : data.path)]), [at]);
  }
  const part = (item, name) => {
    const found = item.fields.get(name);
    return found instanceof Leaf ? found.value : missing(item.below(name));
  };
  const points = data.items.map((item) => [part(item, node.where), part(item, node.value)]);
  return new Step(node, interpolated(points, at.value, data.path), [at], null, neighbours(points, at.value));
}

// The last point that is not beyond `at`, and the next one unless that one was met: places and values.
function neighbours(points, at) {
  let below = null;
  for (const point of points) {
    if (united([...point, at])) return [];
    const beyond = order(point[0].value, at.value);
    if (beyond === 0) return point;
    if (beyond > 0) return below ? [...below, ...point] : [];
    below = point;
  }
  return [];
}

const powersOfKind = (kind) => ENGINE.bases.map((base) => kind.quantity[base] || 0);

// A step and all that it was made from, each once, a step before its parts. No recursion: a parameter leads to its
// argument, so that a derivation can be far deeper than its rule is long.
function* stepsBelow(step, partsOf = (each) => each.parts) {
  const seen = new Set(), stack = [step];
  while (stack.length) {
    const at = stack.pop();
    if (seen.has(at)) continue;
    seen.add(at);
    yield at;
    stack.push(...[...partsOf(at)].reverse());
  }
}
