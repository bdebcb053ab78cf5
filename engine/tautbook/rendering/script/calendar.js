// Dates as whole numbers of days, and calendar spans. Months are counted on the calendar, and a policy of the edition
// says what a day becomes that the month arrived at does not have.

class Day {
  constructor(ordinal) {
    this.ordinal = ordinal; // days since 31 December of the year 0
    Object.freeze(this);
  }

  toString() {
    const { year, month, day } = civil(this.ordinal);
    return `${String(year).padStart(4, "0")}-${String(month).padStart(2, "0")}-${String(day).padStart(2, "0")}`;
  }
}

class Span {
  constructor(months, days) {
    this.months = months;
    this.days = days;
    Object.freeze(this);
  }

  toString() {
    const counted = (count, word) => `${count} ${word}${count === 1 || count === -1 ? "" : "s"}`;
    const parts = [];
    if (this.months) {
      parts.push(this.months % 12 ? counted(this.months, "month") : counted(this.months / 12, "year"));
    }
    if (this.days || !this.months) parts.push(counted(this.days, "day"));
    return parts.join(" and ");
  }
}

const isLeap = (year) => (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
const daysIn = (year, month) => (month === 2 ? (isLeap(year) ? 29 : 28) : [4, 6, 9, 11].includes(month) ? 30 : 31);

// All whole numbers far below the size at which the numbers of the page would stop being exact.
function daysBefore(year) {
  const before = year - 1;
  return before * 365 + Math.floor(before / 4) - Math.floor(before / 100) + Math.floor(before / 400);
}

function ordinalOf(year, month, day) {
  let days = daysBefore(year) + day;
  for (let each = 1; each < month; each += 1) days += daysIn(year, each);
  return days;
}

function civil(ordinal) {
  let year = Math.floor(ordinal / 366) + 1;
  while (daysBefore(year + 1) < ordinal) year += 1;
  let day = ordinal - daysBefore(year), month = 1;
  for (; day > daysIn(year, month); month += 1) day -= daysIn(year, month);
  return { year, month, day };
}

// The day that a span later is: months first, then days; null where the calendar or the policy has none.
function movedOn(date, span, policy) {
  const calendar = ENGINE.calendar;
  const from = civil(date.ordinal);
  const months = from.year * 12 + from.month - 1 + span.months;
  const year = Math.floor(months / 12), month = (months % 12 + 12) % 12 + 1;
  if (year < calendar.first_year || year > calendar.last_year) return null;
  const last = daysIn(year, month);
  if (from.day > last && policy === "refuse") return null;
  const day = policy === "clamp" ? Math.min(from.day, last) : from.day;
  const ordinal = ordinalOf(year, month, 1) + day - 1 + span.days;
  const first = ordinalOf(calendar.first_year, 1, 1), end = ordinalOf(calendar.last_year, 12, 31);
  return ordinal >= first && ordinal <= end ? new Day(ordinal) : null;
}
