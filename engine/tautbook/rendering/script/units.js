// Units and quantities. The table of units is the engine's own, put before this script as data; none is stated here.

const ONE = rational(1n);

function unitOf(name, powers, scale = ONE, offset = ZERO, fractions = []) {
  return Object.freeze({ name, powers, scale, offset, fractions });
}

// The unit of a plain number. Exponents are of length, mass, time, angle and temperature, as the engine has them.
const PLAIN = unitOf("", ENGINE.dimensions.number);

// By every accepted spelling; of two spellings of one unit both have the same object.
const UNITS = new Map();
for (const [spelling, [name, powers, scale, offset, fractions]] of Object.entries(ENGINE.units)) {
  const unit = unitOf(name, powers, rationalFrom(scale), rationalFrom(offset), fractions.map(BigInt));
  UNITS.set(spelling, UNITS.get(name) || unit);
}

const samePowers = (a, b) => a.every((power, i) => power === b[i]);
const isPlain = (unit) => samePowers(unit.powers, PLAIN.powers);

// The unit that a pack names: one of the table, none, or one spelled in base units.
function unitNamed(name) {
  if (!name) return PLAIN;
  const found = UNITS.get(name);
  return found && found.name === name ? found : coherentUnit(powersSpelled(name));
}

// The unit of scale 1 of a dimension: of the table, else spelled in base units, for showing only.
function coherentUnit(powers) {
  if (samePowers(powers, PLAIN.powers)) return PLAIN;
  for (const unit of UNITS.values()) {
    const whole = order(unit.scale, ONE) === 0 && order(unit.offset, ZERO) === 0;
    if (whole && samePowers(unit.powers, powers)) return unit;
  }
  return unitOf(spelled(powers), powers);
}

// Names of the units of a dimension, each once, the likeliest first.
function unitsOf(powers) {
  const all = [...UNITS.values()].filter((unit) => samePowers(unit.powers, powers));
  return [...new Set(all.map((unit) => unit.name))];
}

// How base units are spelled, and their place among the exponents, in the order of spelling.
const SPELLED = [["kg", 1], ["m", 0], ["s", 2], ["degree", 3], ["K", 4]];

function spelled(powers) {
  const present = SPELLED.map(([word, at]) => [word, powers[at]]).filter(([, power]) => power);
  const above = present.filter(([, n]) => n > 0).map(([word, n]) => (n > 1 ? word + n : word));
  const below = present.filter(([, n]) => n < 0).map(([word, n]) => (n < -1 ? word + -n : word));
  return [above.join(" ") || "1", ...below].join(" / ");
}

function powersSpelled(name) {
  const powers = [...PLAIN.powers];
  const [above, ...below] = name.split(" / ");
  const count = (word, sign) => {
    const [, base, power] = /^([A-Za-z]+|1)([0-9]*)$/.exec(word);
    for (const [known, at] of SPELLED) if (known === base) powers[at] += sign * Number(power || 1);
  };
  above.split(" ").forEach((word) => count(word, 1));
  below.forEach((word) => count(word, -1));
  return powers;
}

// A quantity: its size in base units, and the unit that it is shown in. A number is a quantity without dimension.
class Quantity {
  constructor(value, unit) {
    this.value = value;
    this.unit = unit;
    Object.freeze(this);
  }

  get inItsUnit() {
    return dividedBy(minus(this.value, this.unit.offset), this.unit.scale);
  }
}

const number = (value) => new Quantity(typeof value === "bigint" ? rational(value) : value, PLAIN);

// The text of a quantity in full: 41 kip, 7/8 in, 1-1/8 in, 0.005 in, 100/3 kip.
function shownInFull(quantity) {
  const text = amount(quantity.inItsUnit, quantity.unit.fractions);
  return quantity.unit.name ? `${text} ${quantity.unit.name}` : text;
}

function amount(value, fractions) {
  if (!fractions.includes(value.under)) {
    const decimal = exactly(value), ratio = asRatio(value);
    return decimal.length <= ENGINE.limits.number || decimal.length <= ratio.length ? decimal : ratio;
  }
  const size = sizeOf(value), whole = size.over / size.under;
  return `${value.over < 0n ? "-" : ""}${whole ? `${whole}-` : ""}${size.over % size.under}/${size.under}`;
}
