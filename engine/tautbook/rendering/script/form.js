// The boxes of the page <-> a record. A box is named by its path, items counted from 1, its unit by the same and
// " unit". What is typed is kept as it is typed; what a file holds that no box shows is kept beside.

const stepsOf = (path) => path.split(".").flatMap((part) => {
  const [name, ...numbers] = part.split("[");
  return [name, ...numbers.map((number) => Number(number.slice(0, -1)) - 1)];
});
const pathOf = (steps) => steps.map((step, i) => (typeof step === "number" ? `[${step + 1}]` : i ? `.${step}` : step)).join("");

class Form {
  constructor(root, pack) {
    this.root = root;
    this.shape = pack.procedures[pack.procedure].record;
    this.own = pack.procedures[pack.procedure].judged.own;
    this.ruleset = pack.ruleset;
    // By path, { steps, part } of a record that no box shows; with the `text` that its box says instead, if it has one.
    this.kept = new Map();
    this.index();
  }

  // All entries by their names, and the boxes among them; anew where one was added.
  index() {
    this.entries = new Map([...this.root.querySelectorAll("input[name], select[name]")].map((box) => [box.name, box]));
    this.boxes = [...this.entries.values()].filter((box) => !isUnit(box));
    this.lists = new Set([...this.root.querySelectorAll("[data-row]")].map((row) => withoutLast(row.dataset.row)));
  }

  box(path) {
    return this.entries.get(path) || null;
  }

  // The shape at steps, through lists; null where the record has no such part.
  shapeOf(steps) {
    if (steps[0] === "local" && steps[1] === this.ruleset && this.own) return shapeBelow(this.own, steps.slice(2));
    return shapeBelow(this.shape, steps);
  }

  // What a box says, as a record writes it; empty where nothing is filled in.
  text(box) {
    const typed = trimmed(box.value);
    const shape = this.shapeOf(stepsOf(box.name));
    if (shape && shape.kind === "yes-no") return WRITTEN.get(typed) || typed;
    const unit = this.box(`${box.name} unit`);
    // A unit that was typed with its number counts before the one that is chosen.
    return typed && unit && unit.value && !/[A-Za-z%]/.test(typed) ? `${typed} ${unit.value}` : typed;
  }

  show(box, text) {
    const shape = this.shapeOf(stepsOf(box.name));
    const unit = this.box(`${box.name} unit`);
    let written = shape && shape.kind === "yes-no" && SHOWN.get(text) || text;
    if (unit) {
      const at = text.lastIndexOf(" ");
      const named = [...unit.options].some((option) => option.value && option.value === text.slice(at + 1));
      if (at > 0 && named) written = text.slice(0, at);
      // No unit is chosen for what is written without one, or with another than those offered.
      select(unit, at > 0 && named ? text.slice(at + 1) : "");
    }
    if (box.tagName === "SELECT") select(box, written);
    else box.value = written;
  }

  // The part of a record that stands behind a box, as long as the box says what it said then.
  behind(box, text = this.text(box)) {
    const behind = this.kept.get(box.name);
    return behind && behind.text === text ? behind : null;
  }

  // -> { record, where, displaced }: the record; by path in it the box that the part came from; and what is kept
  // without a box and stands where something is typed, by the box that it is typed in. All of it without some boxes.
  read(without = []) {
    const entries = [];
    for (const { steps, part, text } of this.kept.values()) if (text === undefined) entries.push([steps, part, null]);
    for (const box of this.boxes.filter((each) => !without.includes(each))) {
      const text = this.text(box), behind = this.behind(box, text);
      if (behind || text) entries.push([stepsOf(box.name), behind ? behind.part : text, box]);
    }
    const places = renumbered(entries.map(([steps]) => steps), (steps) => this.shapeOf(steps));
    const record = Object.create(null), where = new Map(), displaced = new Map();
    entries.forEach(([, part, box], i) => {
      // A copy: what is typed may come into a part that is kept empty.
      const stood = put(record, places[i], bare(part));
      if (stood) displaced.set(box, stood);
      where.set(pathOf(places[i]), box);
    });
    return { record, where, displaced };
  }

  // Fills the boxes with a record; what no box can show is kept.
  fill(record) {
    this.clear();
    this.place(record, [], this.shape);
  }

  place(part, steps, shape) {
    const path = pathOf(steps);
    const box = steps.length && stepsSafe(steps) ? this.box(path) : null;
    if (box) {
      // Another record, written out, shows its number. A text is shown on one line.
      const number = isObject(part) && typeof part.id === "string" ? oneText(part.id) : "";
      this.show(box, typeof part === "string" ? oneText(part) : part === null ? "" : number || "written out in the file");
      const text = this.text(box);
      if (!part || text !== part) this.keep({ steps, part, text });
    } else if (isEmpty(part)) {
      this.keep({ steps, part });
    } else if (shape && shape.kind === "group" && isObject(part)) {
      for (const name of Object.keys(part)) {
        const below = [...steps, name];
        this.place(part[name], below, this.shapeOf(below));
      }
    } else if (steps[0] === "local" && steps.length === 1 && isObject(part)) {
      for (const name of Object.keys(part)) this.place(part[name], ["local", name], this.shapeOf(["local", name]));
    } else if (shape && shape.kind === "list" && isList(part) && this.lists.has(path)) {
      this.lengthen(path, part.length);
      part.forEach((item, n) => this.place(item, [...steps, n], shape.item));
    } else this.keep({ steps, part });
  }

  keep(behind) {
    const { steps } = behind;
    this.kept.set(stepsSafe(steps) ? pathOf(steps) : JSON.stringify(steps), behind);
  }

  // What was read from a file and cannot be shown as it stands goes once its box is typed in.
  touched(name) {
    const path = name.replace(/ unit$/, ""), behind = this.kept.get(path);
    if (behind && behind.text !== undefined && !isObject(behind.part)) this.kept.delete(path);
  }

  rows(list) {
    return [...this.root.querySelectorAll("[data-row]")].filter((row) => withoutLast(row.dataset.row) === list);
  }

  lengthen(list, count) {
    while (this.rows(list).length < Math.min(count, MOST_ITEMS)) this.add(list);
  }

  // One more item of a list, made like the others and empty.
  add(list) {
    const rows = this.rows(list), last = rows[rows.length - 1];
    const row = last.cloneNode(true);
    row.querySelectorAll(".refused, .remark").forEach((note) => note.remove());
    row.querySelectorAll("[aria-invalid]").forEach((box) => box.removeAttribute("aria-invalid"));
    const before = row.dataset.row, after = `${list}[${rows.length + 1}]`;
    for (const element of [row, ...row.querySelectorAll("*")]) {
      for (const attribute of [...element.attributes]) {
        if (attribute.value.includes(before)) attribute.value = attribute.value.replaceAll(before, after);
      }
    }
    const counted = (text) => text.replace(new RegExp(`\\b${rows.length}$`), String(rows.length + 1));
    for (const said of row.querySelectorAll(`[id="item-${after}"], summary, .number`)) {
      said.firstChild.data = counted(said.firstChild.data);
    }
    if (row.hasAttribute("aria-label")) row.setAttribute("aria-label", counted(row.getAttribute("aria-label")));
    row.querySelectorAll("input").forEach((box) => { box.value = ""; });
    row.querySelectorAll("select").forEach((box) => { box.value = isUnit(box) ? chosenAtFirst(box) : ""; });
    last.after(row);
    this.index();
    return row;
  }

  // Nothing filled in at all; or, as the page was made.
  clear(asMade = false) {
    this.kept.clear();
    for (const box of this.entries.values()) {
      if (box.type === "hidden") continue;
      const made = box.tagName === "SELECT" ? chosenAtFirst(box) : box.defaultValue;
      box.value = asMade || isUnit(box) ? made : "";
    }
  }
}

const MOST_ITEMS = 500;
const WRITTEN = new Map([["yes", "true"], ["no", "false"]]);
const SHOWN = new Map([["true", "yes"], ["false", "no"]]);
const isEmpty = (part) => typeof part === "object" && part !== null && !Object.keys(part).length;
const isUnit = (box) => box.name.endsWith(" unit");
const withoutLast = (path) => path.slice(0, path.lastIndexOf("["));
const stepsSafe = (steps) => steps.every((step) => typeof step === "number" || !/[.[\]"\\]/.test(step));
const chosenAtFirst = (select) => ([...select.options].find((option) => option.defaultSelected) || select.options[0]).value;

// Rows that must be whole close up where one between was left empty; items of a test keep their numbers.
function renumbered(all, shapeOf) {
  const used = new Map();
  for (const steps of all) {
    steps.forEach((step, i) => {
      if (typeof step !== "number") return;
      const list = pathOf(steps.slice(0, i));
      used.set(list, (used.get(list) || new Set()).add(step));
    });
  }
  return all.map((steps) => steps.map((step, i) => {
    if (typeof step !== "number") return step;
    const shape = shapeOf(steps.slice(0, i));
    const whole = shape && shape.kind === "list" && (shape.item.kind !== "group" || shape.item.required);
    return whole ? [...used.get(pathOf(steps.slice(0, i)))].sort((a, b) => a - b).indexOf(step) : step;
  }));
}

// Puts a part into a record, making groups, lists and the items before it on the way. -> { path, part } of what stood
// on that way and can hold nothing; null if nothing did.
function put(record, steps, part) {
  let into = record, stood = null;
  steps.forEach((step, i) => {
    if (isList(into)) while (into.length < step) into.push(Object.create(null));
    const there = into[step], listed = typeof steps[i + 1] === "number";
    if (i === steps.length - 1) into[step] = part;
    else if (!(listed ? isList : isObject)(there)) {
      if (there !== undefined) stood = { path: pathOf(steps.slice(0, i + 1)), part: there };
      into[step] = listed ? [] : Object.create(null);
    }
    into = into[step];
  });
  return stood;
}

// Chooses a word, which becomes one of those that can be chosen.
function select(box, word) {
  if (![...box.options].some((option) => option.value === word)) box.add(new Option(word));
  box.value = word;
}

// A copy, its names kept apart from those of the language.
function bare(part) {
  if (isList(part)) return part.map(bare);
  if (!isObject(part)) return part;
  const found = Object.create(null);
  for (const name of Object.keys(part)) found[name] = bare(part[name]);
  return found;
}
