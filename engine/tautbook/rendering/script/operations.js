// What each operator does with values, known or open. Reasons are united, and nothing is guessed by algebra: nought
// times something missing stays open.

const negated = (value) => (value instanceof Open ? new Open(value.reasons) : new Quantity(negative(value.value), value.unit));
const absolute = (value) => (value instanceof Open ? new Open(value.reasons) : new Quantity(sizeOf(value.value), value.unit));

// The sum, shown in the unit of the left part.
const sum = (left, right) => united([left, right]) || new Quantity(plus(left.value, right.value), left.unit);

// The product; a plain number keeps the unit of the other part.
function product(left, right) {
  const open = united([left, right]);
  if (open) return open;
  const a = left.unit, b = right.unit;
  const unit = isPlain(a) ? (isPlain(b) ? PLAIN : b)
    : isPlain(b) ? a : coherentUnit(a.powers.map((power, i) => power + b.powers[i]));
  return new Quantity(times(left.value, right.value), unit);
}

function quotient(left, right) {
  const open = united([left, right]);
  if (open) return open;
  if (right.value.over === 0n) {
    return stuck("division by zero", `${shownInFull(left)} divided by ${shownInFull(right)}`);
  }
  const a = left.unit, b = right.unit;
  const unit = isPlain(b) && !isPlain(a) ? a : coherentUnit(a.powers.map((power, i) => power - b.powers[i]));
  return new Quantity(dividedBy(left.value, right.value), unit);
}

// A whole multiple of the step, shown in its unit. Ties go up, or to the even multiple.
function rounded(way, value, step, ties) {
  if (value instanceof Open) return new Open(value.reasons);
  const ratio = dividedBy(value.value, step.value);
  let count = way === "up" ? ceiling(ratio) : floor(way === "down" ? ratio : plus(ratio, HALF));
  const tie = way === "nearest" && order(plus(ratio, HALF), rational(count)) === 0;
  if (tie && ties === "even" && count % 2n) count -= 1n;
  return new Quantity(times(rational(count), step.value), step.unit);
}

function later(date, span, months) {
  const open = united([date, span]);
  if (open) return open;
  return movedOn(date, span, months)
    || stuck("date refused", `${date} moved on arrives at no date of the calendar`);
}

const daysFrom = (left, right) => united([left, right]) || number(BigInt(left.ordinal - right.ordinal));

// Comparison

const TESTS = {
  "<": (a) => a < 0, "<=": (a) => a <= 0, ">": (a) => a > 0, ">=": (a) => a >= 0, "=": (a) => a === 0, "!=": (a) => a !== 0,
};

// yes or no; open where a part is open and its bounds do not already decide.
function compared(left, relation, right) {
  const open = united([left, right]);
  if (open) {
    const certain = byBounds(left, relation, right);
    return certain === null ? open : certain;
  }
  if (left instanceof Quantity) return TESTS[relation](order(left.value, right.value));
  if (left instanceof Day) return TESTS[relation](left.ordinal - right.ordinal);
  return (keyOf(left) === keyOf(right)) === (relation === "=");
}

// The answer that holds for every value inside the bounds; null if there is none.
function byBounds(left, relation, right) {
  const [leftLow, leftHigh] = boundsOf(left), [rightLow, rightHigh] = boundsOf(right);
  const is = (a, test, b) => a !== null && b !== null && TESTS[test](order(a, b));
  const below = is(leftHigh, "<", rightLow), above = is(leftLow, ">", rightHigh);
  const atMost = is(leftHigh, "<=", rightLow), atLeast = is(leftLow, ">=", rightHigh);
  const [yes, no] = {
    "<": [below, atLeast], "<=": [atMost, above], ">": [above, atMost], ">=": [atLeast, below],
    "=": [false, below || above], "!=": [below || above, false],
  }[relation];
  return yes ? true : no ? false : null;
}

function boundsOf(value) {
  if (value instanceof Quantity) return [value.value, value.value];
  if (!(value instanceof Open)) return [null, null];
  return [value.atLeast, value.atMost].map((bound) => bound && bound.value);
}

// Logic of three values: what is decided whatever the open parts turn out to be is decided.

const opposite = (value) => (value instanceof Open ? value : !value);
const allOf = (values) => (values.includes(false) ? false : united(values) || true);
const anyOf = (values) => (values.includes(true) ? true : united(values) || false);

// `if` with an open condition: the common value of both branches, else open with all reasons.
function chosen(condition, then, otherwise) {
  const known = !(then instanceof Open) && !(otherwise instanceof Open);
  return known && isSame(then, otherwise) ? then : united([condition, then, otherwise]);
}

// Lists

function overAll(what, values, where) {
  if (what === "every") return allOf(values);
  if (what === "some") return anyOf(values);
  if (what === "count") return counted(values);
  const open = united(values);
  const known = values.filter((value) => value instanceof Quantity);
  if (what === "smallest" || what === "largest") {
    const sign = what === "smallest" ? -1 : 1;
    const best = known.reduce((a, b) => (a === null || sign * order(b.value, a.value) > 0 ? b : a), null);
    if (open) return new Open(open.reasons, sign > 0 ? best : null, sign > 0 ? null : best);
    return best || stuck("empty list", `\`${where}\` holds no items`);
  }
  if (open) return open;
  const total = known.reduce((a, b) => plus(a, b.value), ZERO);
  if (what === "sum") return new Quantity(total, known.length ? known[0].unit : PLAIN);
  if (!known.length) return stuck("empty list", `\`${where}\` holds no items`);
  return new Quantity(dividedBy(total, rational(BigInt(known.length))), known[0].unit);
}

function counted(values) {
  const certain = values.filter((value) => value === true).length;
  const still = values.filter((value) => value instanceof Open).length;
  const open = united(values);
  return open ? new Open(open.reasons, number(BigInt(certain)), number(BigInt(certain + still))) : number(BigInt(certain));
}

// Tables and points

// The label of the band that the value lies in: over one end (not included) up to the other (included).
function bandOf(bands, value, table) {
  if (value instanceof Open) return new Open(value.reasons);
  for (const { label, over, upTo } of bands) {
    const above = over === null || order(over.value, value.value) < 0;
    if (above && (upTo === null || order(value.value, upTo.value) <= 0)) return label;
  }
  return stuck("no rule", `table \`${table}\` has no band for ${shownInFull(value)}`);
}

function lookedUp(table, keys) {
  const open = united(keys);
  if (open) return open;
  const cell = table.cells.get(JSON.stringify(keys.map(keyOf)));
  if (cell !== undefined) return cell;
  const told = keys.map(inWords).join(", ");
  if (!table.covers) return stuck("no rule", `table \`${table.name}\` has no figure for ${told}`);
  const same = table.words.find((word) => spellingOf(word) === spellingOf(told));
  const meant = same === undefined ? "" : `; it is written ${same}`;
  return stuck("no rule", `this edition does not cover ${table.name} ${told}${meant}`);
}

// Upper case first, so that letters that only capitals tell the same of are one.
const folded = (word) => word.toUpperCase().toLowerCase();
const spellingOf = (word) => folded(word).replace(BLANKS, "");

// On the straight line between the two neighbouring points; a point itself gives its own value.
function interpolated(points, at, where) {
  const open = united([at, ...points.flat()]);
  if (open) return open;
  const line = [...points].sort(([a], [b]) => order(a.value, b.value));
  for (const [place, value] of line) if (order(place.value, at.value) === 0) return value;
  for (let i = 1; i < line.length; i += 1) {
    const [left, low] = line[i - 1], [right, high] = line[i];
    if (order(left.value, at.value) < 0 && order(at.value, right.value) < 0) {
      const share = dividedBy(minus(at.value, left.value), minus(right.value, left.value));
      return new Quantity(plus(low.value, times(share, minus(high.value, low.value))), low.unit);
    }
  }
  const ends = line.length ? `${shownInFull(line[0][0])} to ${shownInFull(line[line.length - 1][0])}` : "none";
  return stuck("outside the points", `${shownInFull(at)} is outside of the points of \`${where}\` (${ends})`);
}
