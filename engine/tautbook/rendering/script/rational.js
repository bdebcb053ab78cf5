// Exact numbers: a numerator and a denominator without common factor, both whole numbers of any length.
// Nothing here is ever rounded, and no floating point takes part.

function commonDivisor(a, b) {
  while (b) [a, b] = [b, a % b];
  return a;
}

function rational(over, under = 1n) {
  if (under < 0n) [over, under] = [-over, -under];
  const common = commonDivisor(over < 0n ? -over : over, under);
  return Object.freeze({ over: over / common, under: under / common });
}

const ZERO = rational(0n);
const HALF = rational(1n, 2n);

const plus = (a, b) => rational(a.over * b.under + b.over * a.under, a.under * b.under);
const negative = (a) => rational(-a.over, a.under);
const minus = (a, b) => plus(a, negative(b));
const times = (a, b) => rational(a.over * b.over, a.under * b.under);
const dividedBy = (a, b) => rational(a.over * b.under, a.under * b.over);
const sizeOf = (a) => (a.over < 0n ? negative(a) : a);

// Below zero if a is the lesser, zero if they are equal, above zero if a is the greater.
function order(a, b) {
  const left = a.over * b.under, right = b.over * a.under;
  return left < right ? -1 : left > right ? 1 : 0;
}

// The greatest whole number that is not above a. BigInt cuts off towards zero.
function floor(a) {
  const whole = a.over / a.under;
  return a.over % a.under < 0n ? whole - 1n : whole;
}

const ceiling = (a) => -floor(negative(a));

// "-7/8" or "3", as the pack writes numbers.
function rationalFrom(text) {
  const [over, under] = text.split("/");
  return rational(BigInt(over), BigInt(under || "1"));
}

const asRatio = (a) => (a.under > 1n ? `${a.over}/${a.under}` : `${a.over}`);

// Digits after the point of a decimal with this denominator; null where it never ends.
function decimalPlaces(under) {
  let places = 0;
  for (const prime of [2n, 5n]) {
    let count = 0;
    for (; under % prime === 0n; under /= prime) count += 1;
    places = Math.max(places, count);
  }
  return under === 1n ? places : null;
}

// The number in full: a decimal where it ends, else a ratio.
function exactly(a) {
  const places = decimalPlaces(a.under);
  if (places === null) return asRatio(a);
  const digits = String((sizeOf(a).over * 10n ** BigInt(places)) / a.under).padStart(places + 1, "0");
  const sign = a.over < 0n ? "-" : "";
  return places ? `${sign}${digits.slice(0, -places)}.${digits.slice(-places)}` : sign + digits;
}

// The number for people, to four significant digits, halves away from zero, marked where that rounds.
function about(a) {
  const size = sizeOf(a);
  let places = 0n;
  while (size.over && order(times(size, rational(10n ** places)), rational(1000n)) < 0) places += 1n;
  const scale = 10n ** places;
  const rounded = rational((2n * size.over * scale + size.under) / (2n * size.under), scale);
  if (order(rounded, size) === 0) return exactly(a);
  return `≈${exactly(a.over > 0n ? rounded : negative(rounded))}`;
}
