// What the other scripts of a page use of this one.

const Tautbook = Object.freeze({
  // A record as a record file holds it (objects, lists, all values as the texts that were written) by the rules of a
  // pack. With `problems`, or as long as something is `lacking`, no verdict stands: `verdict` is what it would be.
  judge(pack, record) {
    const rules = rulesOf(pack);
    const judged = explained(judgeRecord(rules, pack.procedure, record), pack);
    return {
      verdict: judged.verdict,
      could_be: judged.could_be,
      advisory: judged.advisory,
      headline: judged.headline,
      problems: judged.seen.problems,
      lacking: judged.seen.lacking,
      void: [...judged.void],
      ignored: judged.ignored || [],
      findings: judged.findings.map((each) => ({
        requirement: each.requirement.id,
        item: each.item,
        outcome: each.outcome,
        voided: each.voided,
        missing: each.missing,
        no_rule: each.no_rule.map(({ by, detail }) => `${by}: ${detail}`),
        decides: each.decides,
        sentence: sentenceOf(each, judged.of),
        next: nextOf(each),
      })),
    };
  },
});
