// A text that was typed or filed -> the value that it is, or what is wrong with it. As strict as the engine: a text
// that this takes for a value is one there too, and the other way round.

class Mistake {
  constructor(message, help = "") {
    this.message = message;
    this.help = help;
  }

  toString() {
    return this.help ? `${this.message}: ${this.help}` : this.message;
  }
}

// What the engine takes for white space; the browser's own class differs in a few characters.
const BLANK = "[\\t-\\r\\x1c-\\x20\\x85\\xa0\\u1680\\u2000-\\u200a\\u2028\\u2029\\u202f\\u205f\\u3000]";
const BLANKS = new RegExp(`${BLANK}+`, "g");
const AROUND = new RegExp(`^${BLANK}+|${BLANK}+$`, "g");

const trimmed = (text) => text.replace(AROUND, "");
const oneText = (text) => trimmed(text.normalize("NFC").replace(BLANKS, " "));
const clipped = (text) => (text.length > 40 ? `${text.slice(0, 40)}…` : text);

// Characters that do not show. With "u" a half of a pair is refused only where its other half is missing.
const REFUSED = new RegExp(
  `[${ENGINE.refused.map((ends) => ends.map((code) => `\\u{${code.toString(16)}}`).join("-")).join("")}]`, "u",
);

// What no text of a record can hold, as a Mistake; null if it holds nothing of it.
function neverATextOf(text) {
  const hidden = REFUSED.exec(text);
  if (hidden) {
    const code = hidden[0].codePointAt(0).toString(16).toUpperCase().padStart(4, "0");
    return new Mistake(`the character U+${code} cannot stand in a text`, "delete it, and type the text around it again");
  }
  const { scalar } = ENGINE.limits;
  return text.length > scalar ? new Mistake(`a text has at most ${scalar} characters`) : null;
}

// The value of a text in the kind of a field, or a Mistake.
function valueOf(text, shape) {
  const never = neverATextOf(text);
  if (never) return never;
  if (!trimmed(text)) return new Mistake("nothing is written here");
  switch (shape.kind) {
    case "text": return oneText(text);
    case "choice": return choice(oneText(text), text, shape);
    case "yes-no": return yesNo(text);
    case "date": return date(text);
    case "span": return span(text);
    case "whole": return inRange(wholeNumber(text), shape);
    case "number": return inRange(quantity(text, "number"), shape);
    case "quantity": return inRange(quantity(text, shape.dimension, shape.units), shape);
    default: return new Mistake("nothing can be written here");
  }
}

// The words are held to the text as it is written.
function choice(value, written, { words }) {
  if (!words || words.includes(written)) return value;
  return new Mistake(`“${clipped(written)}” is not one of the words here`, words.join(", "));
}

function yesNo(text) {
  return text === "true" || text === "false" ? text === "true" : new Mistake("answer true or false");
}

function inRange(value, { range }) {
  if (value instanceof Mistake || !range) return value;
  const [[low, lowText], [high, highText]] = range;
  const inside = order(rationalFrom(low), value.value) <= 0 && order(value.value, rationalFrom(high)) <= 0;
  return inside ? value : new Mistake(`this can be ${lowText} to ${highText}`, "check the figure and its unit");
}

const WHOLE_FORM = /^-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:e[+-]?[0-9]{1,3})?$/;

function wholeNumber(text) {
  const wrong = new Mistake(`“${clipped(text)}” is not a whole number`, "digits only, such as 3");
  if (text.length > ENGINE.limits.number || !WHOLE_FORM.test(text)) return wrong;
  const [size, power] = text.split("e");
  const tens = rational(10n ** BigInt(Math.abs(Number(power || 0))));
  const value = Number(power || 0) < 0 ? dividedBy(decimal(size), tens) : times(decimal(size), tens);
  return value.under === 1n ? number(value) : wrong;
}

function decimal(text) {
  const [whole, part = ""] = text.split(".");
  return rational(BigInt(whole + part), 10n ** BigInt(part.length));
}

// A sign; then whole and fraction, a fraction, or a decimal.
const NUMBER_FORM = /^(-?)(?:(?:([0-9]+)-)?([0-9]+)\/([0-9]+)|([0-9]+(?:\.[0-9]+)?))/;

// Number, one space and unit: 41 kip, 7/8 in, 1-1/8 in, 10 %.
function quantity(text, dimension, offered = []) {
  const powers = ENGINE.dimensions[dimension];
  const example = offered[0] || unitsOf(powers)[0] || "";
  const form = dimension === "number" ? "write digits, with a decimal point if need be"
    : `write a number, one space and a unit, such as 1 ${example}`;
  if (/^-?[0-9]+,[0-9]/.test(text)) return decimalComma(text);
  const match = NUMBER_FORM.exec(text);
  if (!match) return new Mistake(`“${clipped(text)}” does not start with a number`, form);
  const [written, sign, whole, over, under, point] = match;
  const rest = text.slice(written.length);
  if (written.length > ENGINE.limits.number) return new Mistake("this number is too long", "write fewer digits");
  if (rest && rest[0] !== " ") return new Mistake(`“${clipped(text)}” is not written as a number with a unit`, form);
  const unit = rest ? UNITS.get(rest.slice(1)) : PLAIN;
  const names = offered.length ? offered : unitsOf(powers);
  const known = names.length ? `units here: ${names.join(", ")}` : form;
  if (!unit) return new Mistake(`“${clipped(rest.slice(1))}” is not a unit here`, known);
  if (/(?:^|[^0-9.])0[0-9]/.test(written)) return new Mistake("a number is written without leading zeros");
  if (under !== undefined && /^0+$/.test(under)) return new Mistake("nothing is divided by zero");
  if (whole !== undefined && BigInt(over) >= BigInt(under)) return new Mistake("the fraction is not less than 1", form);
  if (!rest && dimension !== "number") return new Mistake("the unit is missing", known);
  if (!rest && whole !== undefined) return new Mistake("this reads two ways without a unit", form);
  if (!samePowers(unit.powers, powers)) return new Mistake(`${rest.slice(1)} is not a unit of ${dimension}`, known);
  const size = point !== undefined ? decimal(point)
    : plus(rational(BigInt(whole || 0)), rational(BigInt(over), BigInt(under)));
  return new Quantity(plus(times(sign ? negative(size) : size, unit.scale), unit.offset), unit);
}

// What it means is never chosen for the person: three digits behind the comma may be thousands.
function decimalComma(text) {
  const written = [text.replace(",", "."), ...(/,[0-9]{3}(?![0-9])/.test(text) ? [text.replace(",", "")] : [])];
  return new Mistake("a decimal comma reads two ways", `write ${written.join(" or ")}`);
}

function date(text) {
  const match = /^([0-9]{4})-([0-9]{2})-([0-9]{2})$/.exec(text);
  if (!match) return new Mistake("a date is written year-month-day", "such as 2026-04-14");
  const [year, month, day] = match.slice(1).map(Number);
  const { first_year: first, last_year: last } = ENGINE.calendar;
  if (year < first || year > last) return new Mistake(`the year is outside of ${first} to ${last}`);
  if (month < 1 || month > 12 || day < 1 || day > daysIn(year, month)) return new Mistake(`there is no ${text}`);
  return new Day(ordinalOf(year, month, day));
}

function span(text) {
  const match = /^(0|[1-9][0-9]*) (day|month|year)s?$/.exec(text);
  if (!match || match[1].length > ENGINE.limits.number) {
    return new Mistake("this is not a calendar span", "write a whole number and days, months or years, such as 6 months");
  }
  const count = Number(match[1]);
  return match[2] === "day" ? new Span(0, count) : new Span(count * (match[2] === "year" ? 12 : 1), 0);
}
