// Every verdict that open findings still allow, without trying every combination: what decides is carried along as a
// few yes/no facts of each item, of each list, of the record. As the engine's judging/could_be.py, which says why.

const VERDICTS = ["pass", "fail", "invalid", "incomplete"];

// Facts are plain objects; equal ones are one in a Map by this text.
const factsKey = (facts) => JSON.stringify(facts);

function couldBe(weights, lists) {
  const ofRecord = [], ofItems = new Map([...lists.keys()].map((path) => [path, new Map()]));
  for (const weight of weights) {
    if (weight.item === null || !weight.listed) ofRecord.push(weight);
    else {
      const items = ofItems.get(weight.listed);
      items.set(weight.item, [...(items.get(weight.item) || []), weight]);
    }
  }
  let states = [[new Map(), false]];
  for (const [path, items] of ofItems) {
    const { there, asked } = lists.get(path);
    const facts = listFacts([...items.values()], asked ? there - asked : null);
    states = states.flatMap(([known, few]) => facts.map(([fact, short]) => [new Map([...known, [path, fact]]), few || short]));
  }
  const found = new Set();
  for (const record of allFacts(ofRecord)) for (const [listed, few] of states) found.add(oneVerdict(record, listed, few));
  return found;
}

const NO_FACTS = {
  voidsPasses: false, voidsFailures: false, met: false, notMet: false, waived: false, open: false,
  overMet: [], // lists that a met finding of the record speaks of
  overNotMet: [], // the lists of each finding of the record that is not met and speaks of lists
};

// What the findings of one item, or of the record, can come to together.
function allFacts(weights) {
  let found = new Map([[factsKey(NO_FACTS), NO_FACTS]]);
  for (const weight of weights) {
    if (weight.kind === "advice") continue;
    const after = new Map();
    for (const facts of found.values()) {
      for (const outcome of weight.can) {
        const joined = withOutcome(facts, weight, outcome);
        after.set(factsKey(joined), joined);
      }
    }
    found = after;
  }
  return [...found.values()];
}

function withOutcome(facts, weight, outcome) {
  if (outcome === "open") return { ...facts, open: true };
  if (weight.kind === "setup") {
    if (outcome !== "not met") return facts;
    return {
      ...facts,
      voidsPasses: facts.voidsPasses || weight.voids !== "failures",
      voidsFailures: facts.voidsFailures || weight.voids !== "passes",
    };
  }
  if (outcome === "met") return { ...facts, met: true, overMet: [...new Set([...facts.overMet, ...weight.over])].sort(inOrder) };
  if (outcome === "waived") return { ...facts, waived: true };
  if (outcome !== "not met") return facts;
  if (!weight.over.length) return { ...facts, notMet: true };
  const sets = new Map([...facts.overNotMet, weight.over].map((each) => [factsKey(each), each]));
  return { ...facts, overNotMet: [...sets.keys()].sort(inOrder).map((key) => sets.get(key)) };
}

// What all items can come to together, each with whether more than `slack` of them are void. Of the number of void
// items only the least and the most that go with the same facts matter.
function listFacts(items, slack) {
  const none = { voidsPasses: false, voidsFailures: false, fails: false, judged: false, open: false };
  let found = new Map([[factsKey(none), [none, 0, 0]]]);
  for (const weights of items) {
    const after = new Map();
    for (const item of allFacts(weights)) {
      const isVoid = item.voidsPasses || item.notMet;
      for (const [facts, least, most] of found.values()) {
        const joined = {
          voidsPasses: facts.voidsPasses || item.voidsPasses,
          voidsFailures: facts.voidsFailures || item.voidsFailures,
          fails: facts.fails || (item.notMet && !item.voidsFailures),
          judged: facts.judged || (!isVoid && (item.met || item.waived)),
          open: facts.open || (!isVoid && item.open),
        };
        const low = least + isVoid, high = most + isVoid;
        const [, before, beyond] = after.get(factsKey(joined)) || [joined, low, high];
        after.set(factsKey(joined), [joined, Math.min(before, low), Math.max(beyond, high)]);
      }
    }
    found = after;
  }
  const states = [];
  for (const [facts, least, most] of found.values()) {
    if (slack === null || least <= slack) states.push([facts, false]);
    if (slack !== null && most > slack) states.push([facts, true]);
  }
  return states;
}

// The verdict on one combination. `few`: of some list too few items are left that are not void.
function oneVerdict(record, lists, few) {
  const pathsWhere = (fact) => [...lists].filter(([, facts]) => facts[fact]).map(([path]) => path);
  const voidsFailures = pathsWhere("voidsFailures"), voidsPasses = pathsWhere("voidsPasses");
  if (!record.voidsFailures) {
    const over = record.overNotMet.some((paths) => !paths.some((path) => voidsFailures.includes(path)));
    if (record.notMet || over || pathsWhere("fails").length) return "fail";
  }
  const voided = record.notMet || record.overNotMet.length || record.overMet.some((path) => voidsPasses.includes(path));
  if (record.voidsPasses || voided || few) return "invalid";
  if (record.open || pathsWhere("open").length) return "incomplete";
  return record.met || record.waived || pathsWhere("judged").length ? "pass" : "incomplete";
}
