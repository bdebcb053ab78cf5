// A finding in one sentence: what was observed, what was asked for, and what is to spare or wanting. The same words as
// in the reports.

const ASKED = {
  "<=": "at most {} is allowed", "<": "less than {} is asked for", ">=": "at least {} is asked for",
  ">": "more than {} is asked for", "=": "{} is asked for", "!=": "anything but {} is allowed",
  "is one of": "{} is asked for", "is none of": "anything but {} is allowed",
};
const ASKED_OF_DATES = {
  ...ASKED, "<=": "no later than {} is asked for", "<": "before {} is asked for",
  ">=": "no earlier than {} is asked for", ">": "after {} is asked for",
};
const TAKEN = { count: "count of", sum: "sum over", mean: "mean over", smallest: "smallest of", largest: "largest of" };

function sentenceOf(finding, of) {
  const { outcome, requirement, voided, waiver, exception } = finding;
  const comparisons = comparisonsOf(finding.require, requirement);
  const exceptions = finding.exceptions.map((step) => [...conditionsOf(step)]);
  const broken = ["not met", "waived"].includes(outcome);
  const telling = comparisons.filter((each) => !broken || each.outcome === "not met");
  let told = telling.map((each) => comparedInWords(each, of)).join("; ");
  const where = finding.item === null ? "" : `${itemLabel(finding.item, of)}: `;
  switch (outcome) {
    case "met": return `${where}${told || "as asked"}`;
    case "not met":
      told += toldOf(finding, exceptions, of, false).map((each) => `; no exception: ${each}`).join("");
      return `${where}${told}${voided ? "; a fault of the test voids this" : ""}`;
    case "waived":
      return `${where}${told}; waived by ${waiver.by} (${waiver.role}) on ${waiver.on}: ${waiver.why}`;
    case "not applicable": {
      const reasons = exception ? toldOf(finding, exceptions, of, true).join("; ") : "";
      return `${where}not applicable: ${exception ? exception.title + (reasons && `: ${reasons}`) : "it does not apply"}`;
    }
    default: return `${where}${whyOpen(finding, of)}`;
  }
}

// What made an exception hold, or kept each one from holding.
function toldOf({ requirement, exception }, exceptions, of, holding) {
  return requirement.unless.flatMap((named, i) => {
    const told = worthTelling(exceptions[i]);
    return told.length && (named === exception) === holding ? [told.map((each) => comparedInWords(each, of)).join("; ")] : [];
  });
}

// Nothing of an exception that is no more than a word of the record, which its title says.
function worthTelling(comparisons) {
  if (comparisons.every((each) => each.margin === null)) return [];
  const broken = comparisons.filter((each) => each.outcome === "not met");
  return broken.length ? broken : comparisons;
}

function whyOpen({ missing: paths, no_rule: stuckBy }, of) {
  const parts = paths.length ? [`not recorded: ${paths.map((path) => labelOf(path, of)).join(", ")}`] : [];
  return [...parts, ...stuckBy.map(({ by, detail }) => `${by}: ${detail}`)].join("; ");
}

function comparedInWords(each, of) {
  const { observed, relation, outcome } = each;
  const what = observedLabel(observed, of), value = valueInWords(observed);
  if (relation === "recorded") {
    return outcome === "met" ? `${what} is recorded${observed.value === null ? "" : `, ${value}`}` : `no ${what}`;
  }
  if (relation === "is covered") {
    const held = { met: "is covered", "not met": "is not covered by this edition", open: "is not known" };
    return `${what} ${value} ${held[outcome]}`;
  }
  if (outcome === "met" && ["=", "is one of"].includes(relation)) return `${what} ${value}, as asked`;
  const far = howFar(each);
  return `${what} ${value}; ${askedInWords(each)}${far && ` (${far})`}`;
}

function observedLabel({ path, over: taken, term }, of) {
  if (path !== null) return labelOf(path, of);
  if (taken) return `${TAKEN[taken[0]]} ${labelOf(taken[1], of)}`;
  return term === null ? "the value worked out" : inPlainWords(term);
}

function valueInWords({ value, written, path, raw, term }) {
  if (raw && term !== null) return `${raw.written} (${inPlainWords(term)} ${value === null ? "not known" : shown(value)})`;
  if (value === null) return "not known";
  return path !== null && written !== null ? written : shown(value);
}

function askedInWords({ relation, limit }) {
  const { value } = limit;
  if (typeof value === "boolean") return `${inWords(value)} is asked for`;
  const dates = value instanceof Day || value instanceof Span;
  const text = typeof value === "string" ? limit.written : valueInWords(limit);
  return (dates ? ASKED_OF_DATES : ASKED)[relation].replace("{}", () => text);
}

// "1 over", "0.5 kip short", "3 days to spare", "exactly at the limit".
function howFar({ margin, tie, relation }) {
  if (tie) return "exactly at the limit";
  if (margin === null) return "";
  const dates = !(margin instanceof Quantity);
  const less = dates ? margin < 0 : margin.value.over < 0n;
  const size = dates ? Math.abs(margin) : new Quantity(sizeOf(margin.value), margin.unit);
  const text = dates ? `${size} day${size === 1 ? "" : "s"}` : shown(size);
  if (!less) return `${text} to spare`;
  const over = relation === "<" || relation === "<=";
  return `${text} ${dates ? (over ? "late" : "early") : over ? "over" : "short"}`;
}

// What happens next: of a requirement that is not met, what the edition says; of an open one, what to record.
function nextOf({ outcome, voided, requirement, missing: paths }) {
  if (outcome === "open" && paths.length) return `Record ${paths.join(", ")}.`;
  if (outcome === "open" && requirement.covers) return requirement.otherwise;
  return outcome === "not met" && !voided ? requirement.otherwise : null;
}
