// A record by the rules of its procedure, finding by finding, to a verdict. As the engine's judging.

// What hostile or broken files could nest without end.
const TOO_DEEP = "records rest on each other too deep";

// -> { verdict, could_be, problems, lacking, findings, lists, ... }. With problems the verdict is null, since the
// engine would refuse the record; its findings are told all the same, of what does read.
function judgeRecord(rules, name, record, depth = 1) {
  const of = rules.procedures.get(name);
  const { data, verdicts, problems } = restsOn(rules, of, record, depth);
  const seen = observe(record, of, rules.pack.ruleset, data);
  seen.problems.unshift(...problems);
  if (!of.judged) return { seen, verdict: null, could_be: [], findings: [], lists: new Map(), evidence: verdicts, of };
  const requirements = of.judged.requirements;
  const { findings: waived, ignored } = withWaivers(findingsOf(of, seen.group), seen.group, requirements);
  const lists = listsOf(of, seen.group);
  const possible = couldBe(waived.map(weightOf), lists);
  const could_be = VERDICTS.filter((word) => possible.has(word));
  let verdict = could_be.length === 1 ? could_be[0] : "incomplete";
  if (verdict === "pass" && [...lists.values()].some(({ recorded: there, asked }) => there < asked)) verdict = "incomplete";
  return { seen, verdict, could_be, findings: withVoiding(waived), ignored, lists, evidence: verdicts, of };
}

// The records that this one rests on, judged first and by the same edition. One that is only named is not at hand.
function restsOn(rules, of, record, depth) {
  const data = new Map(), verdicts = new Map(), problems = [];
  const slots = of.record.fields.evidence;
  const evidence = Object.hasOwn(record, "evidence") ? record.evidence : {};
  if (slots && !isObject(evidence)) problems.push({ path: "evidence", message: FIELDS_EXPECTED });
  for (const slot of slots && isObject(evidence) ? Object.keys(evidence) : []) {
    const path = `evidence.${slot}`, other = evidence[slot];
    if (!Object.hasOwn(slots.fields, slot)) problems.push({ path, message: "there is no field of this name" });
    else if (typeof other === "string") {
      const never = neverATextOf(other);
      if (never) problems.push({ path, message: String(never) });
      else if (!trimmed(other)) problems.push({ path, message: "nothing is written here" });
    } else if (!isObject(other)) problems.push({ path, message: "one record is expected here" });
    else if (other.procedure !== slots.fields[slot].procedure) {
      problems.push({ path, message: "this is a record of another kind of test" });
    } else if (depth > ENGINE.limits.evidence) problems.push({ path, message: TOO_DEEP });
    else {
      const judged = judgeRecord(rules, other.procedure, other, depth + 1);
      problems.push(...judged.seen.problems.map((each) => ({ ...each, path: `${path}.${each.path}` })));
      problems.push(...judged.seen.lacking.map((each) => ({ path: `${path}.${each}`, message: "this is missing" })));
      if (judged.verdict) verdicts.set(slot, judged);
      data.set(slot, asRead(judged));
    }
  }
  return { data, verdicts, problems };
}

// The data of a judged record and its verdict. What a pass does not count does not count here either.
function asRead(judged) {
  const { group } = judged.seen;
  if (!judged.verdict) return group;
  const out = judged.verdict === "pass" ? voidItems(judged.findings) : new Set();
  const counting = (data) => (
    data instanceof Items ? new Items(data.path, data.items.filter((item) => !out.has(item.path)), data.written) : data
  );
  const fields = new Map([...group.fields].map(([name, data]) => [name, counting(data)]));
  return new Group("", fields.set("verdict", verdictAsRead(judged)));
}

// A verdict that something can still change is open, for the same reasons.
function verdictAsRead({ verdict, findings, lists, seen }) {
  if (verdict !== "incomplete") return new Leaf("verdict", verdict, verdict);
  const open = findings.filter((each) => each.requirement.kind !== "advice" && each.outcome === "open");
  let reasons = open.flatMap((each) => [...each.missing.map((path) => ({ missing: path })), ...each.no_rule]);
  if (!reasons.length) {
    reasons = [...lists].filter(([, list]) => list.recorded < Math.max(list.asked, 1)).map(([path]) => ({ missing: path }));
  }
  if (!reasons.length) {
    const id = dataAt(seen.group, "id");
    reasons = [{ by: "no rule", detail: `nothing of ${id ? id.written : ""} is judged by this edition` }];
  }
  return new Pending("verdict", openFor(...reasons));
}

function weightOf({ requirement, can, item }) {
  const over = requirement.kind === "acceptance" ? requirement.over : [];
  return { kind: requirement.kind, can, voids: requirement.voids, item, listed: requirement.each, over };
}

// The lists that are asked for, and those that requirements speak of item by item: how many items are there (those
// still to come among them), are asked for, and are recorded.
function listsOf(of, group) {
  const { asks, requirements } = of.judged;
  const paths = new Set([...asks.keys(), ...requirements.map((each) => each.each).filter(Boolean)]);
  return new Map([...paths].sort(inOrder).map((path) => {
    const data = dataAt(group, path);
    const items = data instanceof Items ? data.items : [];
    const there = items.filter((item) => !(item instanceof Group) || item.fields.size);
    return [path, { there: items.length, asked: asks.get(path) || 0, recorded: there.length }];
  }));
}
