// A judged record -> what is said of it: the headline, what decides, and whose figures it rests on.

const NOT_FOR_ACCEPTANCE = "would pass; not for acceptance";

// What Tautbook.judge gives: plain data.
function explained(judged, pack) {
  const standings = new Set(standingsOf(judged));
  const evidence = [...judged.evidence.values()].map((other) => explained(other, pack));
  const advisory = standings.has("from memory") || evidence.some((each) => each.advisory);
  const demonstration = standings.has("invented") || evidence.some((each) => each.demonstration);
  const out = voidItems(judged.findings);
  const findings = judged.findings.map((each) => ({ ...each, decides: decides(each, judged, out) }));
  const waived = findings.filter((each) => each.outcome === "waived").length
    + evidence.reduce((count, each) => count + each.waived, 0);
  const headline = headlineOf(judged, findings, { waived, advisory, demonstration, draft: !pack.enacted });
  return { ...judged, findings, void: out, advisory, demonstration, waived, headline };
}

function decides({ requirement, outcome, voided, item }, judged, out) {
  if (requirement.kind === "advice") return false;
  switch (judged.verdict) {
    case "fail": return requirement.kind === "acceptance" && outcome === "not met" && !voided;
    case "invalid":
      return (outcome === "not met" && ["both", "passes"].includes(requirement.voids))
        || (voided && (outcome === "not met" || requirement.over.length > 0));
    // What is open on a void item can still show a failure that nothing voids.
    case "incomplete": return outcome === "open" && (!out.has(item) || judged.could_be.length > 1);
    case "pass": return requirement.kind === "acceptance" && ["met", "waived"].includes(outcome);
    default: return false;
  }
}

// Where the figures come from that decide: of the requirements, and of the tables and terms that they used.
function* standingsOf({ findings, of }) {
  for (const each of findings) {
    if (each.requirement.kind === "advice") continue;
    const applies = each.outcome !== "not applicable";
    if (applies || each.exception) yield each.requirement.standing;
    for (const step of [applies ? each.require : null, each.applies, ...each.exceptions]) {
      for (const at of step ? stepsBelow(step) : []) {
        if (at.node.construct === "look-up") yield of.judged.tables.get(at.node.table).standing;
        if (at.node.construct === "term") yield of.judged.terms.get(at.node.name).standing;
      }
    }
  }
}

function headlineOf(judged, findings, { waived, advisory, demonstration, draft }) {
  const { verdict } = judged;
  const many = (count) => (count > 1 ? "s" : "");
  let text = verdict;
  if (verdict === "pass" && advisory) text = NOT_FOR_ACCEPTANCE;
  if (verdict === "incomplete") text = `incomplete: ${whatIsOpen(judged, findings)}`;
  if (verdict === "pass" && waived) text += `, ${waived} requirement${many(waived)} waived (as stated, not verified)`;
  const aside = judged.seen.setAside.length;
  if (verdict === "pass" && aside) text += `, ${aside} set aside`;
  if (verdict === "fail" || verdict === "invalid") {
    const deciding = findings.filter((each) => each.decides);
    const unvoided = deciding.filter((each) => !each.voided);
    const names = [...new Set((unvoided.length ? unvoided : deciding).map((each) => each.requirement.id))];
    text += `: ${names.slice(0, 3).join(", ")}${names.length > 3 ? ` and ${names.length - 3} more` : ""}`;
    if (advisory) text += "; figures from memory, not for acceptance";
  }
  if (draft) text += "; draft rules, not enacted";
  return demonstration ? `${text}; demonstration figures` : text;
}

function whatIsOpen({ lists, could_be }, findings) {
  const deciding = findings.filter((each) => each.decides);
  const open = new Set(deciding.flatMap((each) => each.missing));
  const noRule = deciding.flatMap((each) => each.no_rule).sort((a, b) => inOrder(a.by, b.by) || inOrder(a.detail, b.detail));
  const parts = [];
  if (open.size) parts.push(`${open.size} observation${open.size > 1 ? "s" : ""} not recorded`);
  if (noRule.length) parts.push(`${noRule[0].by} (${noRule[0].detail})`);
  for (const [path, { recorded: there, asked }] of lists) if (there < asked) parts.push(`${there} of ${asked} ${path} recorded`);
  if (!parts.length) parts.push("nothing was judged");
  if (!could_be.includes("pass")) {
    parts.push(open.size ? "it cannot pass any more" : "nothing that is recorded can change this");
  }
  return parts.join("; ");
}
