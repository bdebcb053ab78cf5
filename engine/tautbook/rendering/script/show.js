// What a record was judged to be -> what the page shows of it: beside each box, at each requirement, and as a whole.

const ONLY_NAMED = "This record is named and not at hand here: what rests on it stays open on this page. "
  + "Open its file here, or judge the saved record beside it.";

// Only where it changes, so that nothing is read out twice.
function setText(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

function tallyOf(summary) {
  return summary.querySelector(".tally") || added(summary, "span", { className: "tally" });
}

const added = (parent, tag, properties) => parent.appendChild(Object.assign(document.createElement(tag), properties));

// Beside its box; not while it is still being typed.
function showProblems(form, problems, where) {
  const open = new Map();
  for (const { path, message } of problems) {
    const box = where.get(path);
    if (box && box !== document.activeElement) open.set(box, message);
  }
  for (const box of form.boxes) {
    const id = `${box.name}-refused`;
    const note = document.getElementById(id), message = open.get(box);
    const described = (box.getAttribute("aria-describedby") || "").split(" ").filter((each) => each && each !== id);
    if (message) {
      const line = note || added(box.closest(".box"), "p", { id, className: "refused" });
      setText(line, `Not taken: ${message}`);
      box.setAttribute("aria-invalid", "true");
      described.push(id);
    } else if (note) {
      note.remove();
      box.removeAttribute("aria-invalid");
    }
    if (message || note) box.setAttribute("aria-describedby", described.join(" "));
  }
}

// Beside a box that is as it should be: what else is to be known of it.
function showRemarks(form, displaced, of) {
  for (const box of form.boxes) {
    const stood = displaced.get(box), said = [];
    if (isOnlyNamed(box, form)) said.push(ONLY_NAMED);
    if (stood) said.push(standsInTheWay(stood, of));
    remark(box.closest(".box"), `${box.name}-remark`, said.join(" "));
  }
}

// Another record that is only named is not at hand in the page.
function isOnlyNamed(box, form) {
  const shape = form.shapeOf(stepsOf(box.name));
  if (!shape || shape.kind !== "evidence") return false;
  const behind = form.behind(box);
  return behind ? typeof behind.part === "string" && behind.part !== "" : Boolean(form.text(box));
}

function standsInTheWay({ path, part }, of) {
  const text = typeof part === "string" ? `“${clipped(part)}”` : part === null ? "null" : "something else";
  return `The file has ${text} for ${labelOf(path, of)}, which is left out of the record as long as something is typed here.`;
}

function remark(parent, id, said) {
  const there = document.getElementById(id);
  if (!said && !there) return;
  const note = there || added(parent, "p", { id, className: "remark" });
  setText(note, said);
  note.hidden = !said;
}

// Of a waiver that changes nothing: why.
function showIgnored(form, ignored, where) {
  const why = new Map();
  for (const each of ignored) {
    const box = where.get(`${each.path}.requirement`);
    if (box) why.set(box.closest("[data-row]"), `This waiver is ignored: ${each.why}.`);
  }
  for (const row of form.root.querySelectorAll(".row[data-row]")) remark(row, `${row.dataset.row}-ignored`, why.get(row) || "");
}

function showFindings(form, findings, record) {
  const found = new Map(findings.map((each) => [JSON.stringify([each.requirement, each.item]), each]));
  for (const line of document.querySelectorAll("[data-requirement]")) {
    const { requirement, item = null } = line.dataset;
    const finding = found.get(JSON.stringify([requirement, item]));
    line.dataset.is = finding ? finding.outcome : "";
    // What was said of it when the page was made, once something else is filled in.
    if (finding && line.dataset.known && line.dataset.known !== finding.outcome) delete line.dataset.known;
    const said = finding ? `${finding.outcome}${finding.voided ? ", void" : ""}: ${finding.sentence}` : "";
    setText(line.querySelector("[data-outcome]"), said);
  }
  for (const row of form.root.querySelectorAll("article[data-row]")) {
    const summary = row.querySelector("summary");
    if (summary) setText(tallyOf(summary), tally(row.dataset.row, findings, record));
  }
}

function tally(item, findings, record) {
  const mine = findings.filter((each) => each.item === item);
  const count = (outcome) => mine.filter((each) => each.outcome === outcome).length;
  const said = ["not met", "open", "met"].filter(count).map((outcome) => `${count(outcome)} ${outcome}`);
  const [list, n] = stepsOf(item), filed = (record[list] || [])[n];
  if (filed && filed.set_aside) return ": set aside";
  return said.length ? `: ${said.join(", ")}` : "";
}

// The verdict in words; none as long as something that is typed is not taken, or the record would not be one. `without`:
// what it comes to without the entries that are not taken, where that is told.
function verdictInWords({ headline, verdict, could_be: couldBecome, problems, lacking }, of, without) {
  const count = problems.length;
  if (count) {
    const rest = without ? `. Without ${count > 1 ? "them" : "it"}: ${without.headline}` : "";
    return `no verdict: ${count} ${count > 1 ? "entries are" : "entry is"} not taken${rest}`;
  }
  if (lacking.length && verdict !== "incomplete") {
    return `no verdict yet: this is no record without its ${lacking.map((path) => labelOf(path, of)).join(", ")}`;
  }
  return couldBecome.length > 1 ? `${headline}. It can still become: ${couldBecome.join(", ")}.` : headline;
}

function whatNext({ findings, problems, lacking, verdict }, of) {
  const parts = problems.slice(0, 1).map(({ path, message }) => `${labelOf(path, of)}: ${message}.`);
  const broken = findings.filter((each) => each.outcome === "not met" && each.next).map((each) => each.next);
  parts.push(...new Set(broken));
  const open = findings.filter((each) => each.outcome === "open");
  const deciding = open.filter((each) => each.decides);
  const needed = [...lacking, ...sortedPaths(new Set(deciding.flatMap((each) => each.missing)), of)];
  const paths = [...new Set(needed)];
  if (paths.length && (verdict === "incomplete" || lacking.length)) {
    const more = paths.length > 1 ? `, and ${paths.length - 1} more` : "";
    const [item] = paths[0].split(".");
    const whose = item.includes("[") ? ` of ${itemLabel(item, of)}` : "";
    parts.push(`Still to record: ${labelOf(paths[0], of)}${whose}${more}.`);
  }
  const stuckOnes = open.filter((each) => !each.missing.length);
  parts.push(...new Set(stuckOnes.flatMap((each) => [...each.no_rule, each.next].filter(Boolean))));
  return parts.join(" ");
}
