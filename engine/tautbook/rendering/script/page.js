// The live page: what is typed is judged as it comes in, kept, and saved as a record.

class Page {
  constructor(pack) {
    this.pack = pack;
    this.of = rulesOf(pack).procedures.get(pack.procedure);
    this.form = new Form(document.querySelector("main"), pack);
    const known = this.form.boxes.filter((box) => box.type !== "hidden" && box.value);
    this.store = new Store(pack, known.map((box) => `${box.name}=${this.form.text(box)}`).join(";"));
    // The last file: by it is told whether anything is unsaved.
    this.saved = fileOf(this.form.read().record, pack);
    this.live = document.getElementById("live");
    this.verdict = document.getElementById("verdict");
    this.next = document.getElementById("next");
    this.told = this.line("told");
    this.kept = this.line("kept");
    this.others = document.createElement("div");
    this.others.id = "others";
    this.live.append(this.others);
    this.due = false;
  }

  line(id) {
    const output = document.createElement("output");
    output.id = id;
    const line = document.createElement("p");
    line.append(output);
    this.live.append(line);
    return output;
  }

  start() {
    this.restore();
    // Findings change with every key: only the verdict is read out.
    for (const output of document.querySelectorAll("[data-outcome]")) output.setAttribute("aria-live", "off");
    this.judge();
    this.showOthers();
    this.live.hidden = false;
    const { root } = this.form;
    root.addEventListener("input", (event) => this.changed(event));
    root.addEventListener("change", (event) => this.changed(event));
    root.addEventListener("focusout", () => this.soon());
    this.button("save", () => this.save());
    this.button("open", () => this.choose());
    this.button("clear", () => this.clear());
    for (const list of this.form.lists) this.adding(list);
    root.addEventListener("click", ({ target }) => {
      if (target.dataset.add) this.add(target.dataset.add);
    });
    window.addEventListener("beforeunload", (event) => {
      if (!this.unsaved()) return;
      event.preventDefault();
      event.returnValue = "unsaved"; // for browsers that heed nothing else
    });
    // A browser that comes back to the page may fill in boxes by itself.
    window.addEventListener("pageshow", () => {
      if (fileOf(this.form.read().record, this.pack) !== this.judged) this.soon();
    });
    performance.mark("judged");
  }

  button(id, act) {
    const button = document.getElementById(id);
    if (button) button.addEventListener("click", act);
  }

  // The button that adds an item: it stands at the foot of the page, or else comes below the items.
  adding(list) {
    const shape = this.form.shapeOf(stepsOf(list));
    if (!shape) return;
    if (document.getElementById(`add-${shape.singular}`)) {
      this.button(`add-${shape.singular}`, () => this.add(list));
      return;
    }
    const button = added(this.form.rows(list)[0].parentElement, "button", {
      type: "button", className: "add", textContent: `Add a ${shape.singular}`,
    });
    button.dataset.add = list;
  }

  changed({ target }) {
    if (!target.name) return;
    this.form.touched(target.name);
    if (isUnit(target)) this.sameUnit(target);
    this.soon();
  }

  // A unit that is chosen once stands in all boxes that take the same and are still without both.
  sameUnit(chosen) {
    const offers = (select) => [...select.options].map((option) => option.value).filter(Boolean).join();
    for (const select of this.form.root.querySelectorAll('select[name$=" unit"]')) {
      const box = this.form.box(select.name.slice(0, -" unit".length));
      const free = select !== chosen && !select.value && box && !box.value;
      if (free && offers(select) === offers(chosen)) select.value = chosen.value;
    }
  }

  // However many keys are struck between two pictures, the record is judged once.
  soon() {
    if (this.due) return;
    this.due = true;
    requestAnimationFrame(() => {
      this.due = false;
      this.keep();
      this.judge();
    });
  }

  judge() {
    const { record, where, displaced } = this.form.read();
    const result = Tautbook.judge(this.pack, record);
    this.judged = fileOf(record, this.pack);
    showProblems(this.form, result.problems, where);
    showRemarks(this.form, displaced, this.of);
    showIgnored(this.form, result.ignored, where);
    showFindings(this.form, result.findings, record);
    setText(this.verdict, verdictInWords(result, this.of, this.besides(result, where)));
    this.verdict.dataset.verdict = result.problems.length + result.lacking.length ? "none" : result.verdict;
    setText(this.next, whatNext(result, this.of));
    return result;
  }

  // Where all that is not taken stands in boxes that no rule reads: what the record comes to without them, else null.
  besides({ problems }, where) {
    const boxes = problems.map(({ path }) => where.get(path));
    if (!boxes.length || !boxes.every((box) => box && box.closest(".box.besides"))) return null;
    const rest = Tautbook.judge(this.pack, this.form.read(boxes).record);
    return rest.problems.length || rest.lacking.length || rest.verdict === "incomplete" ? null : rest;
  }

  // Kept on this device

  state() {
    const texts = Object.create(null);
    for (const [name, box] of this.form.entries) if (box.type !== "hidden") texts[name] = box.value;
    const counts = Object.create(null);
    for (const list of this.form.lists) counts[list] = this.form.rows(list).length;
    const { id } = this.form.read().record;
    const kept = [...this.form.kept];
    return { texts, counts, kept, saved: this.saved, unsaved: this.unsaved(), at: Date.now(), id };
  }

  restore() {
    const state = this.store.load();
    if (state === null) return;
    try {
      this.showAgain(state);
      setText(this.told, "What was typed here before is shown again.");
    } catch {
      setText(this.told, "What was kept on this device cannot be read any more.");
    }
  }

  // What was typed in other windows, or before the battery was empty: it is not mixed with what is typed here.
  showOthers() {
    this.others.replaceChildren();
    for (const { place, state } of this.store.others().slice(0, MOST_OTHERS)) {
      const of = typeof state.id === "string" && state.id ? clipped(state.id) : "a record without a number";
      const when = new Date(state.at).toLocaleString();
      const line = added(this.others, "p", { textContent: `${FROM_ANOTHER}: ${of}, ${when}. ` });
      const button = added(line, "button", { type: "button", textContent: "Go on with it" });
      button.addEventListener("click", () => this.goOn(place));
    }
  }

  goOn(place) {
    if (this.unsaved()) this.keep();
    this.form.clear(true);
    this.saved = fileOf(this.form.read().record, this.pack);
    this.store.take(place);
    this.restore();
    this.judge();
    this.showOthers();
  }

  showAgain({ texts, counts, kept, saved }) {
    for (const list of Object.keys(counts)) {
      if (this.form.lists.has(list)) this.form.lengthen(list, Number(counts[list]));
    }
    for (const name of Object.keys(texts)) {
      const box = this.form.box(name), text = String(texts[name]);
      if (box && box.tagName === "SELECT") select(box, text);
      else if (box) box.value = text;
    }
    this.form.kept = new Map(kept.map(([path, behind]) => [path, bare(behind)]));
    this.saved = String(saved);
  }

  keep() {
    const trouble = this.store.keep(this.state());
    const unsaved = this.unsaved() ? "Not saved as a file yet." : "";
    setText(this.kept, trouble || [unsaved, unsaved && "Kept on this device."].filter(Boolean).join(" "));
  }

  unsaved() {
    return fileOf(this.form.read().record, this.pack) !== this.saved;
  }

  // Files

  save() {
    const { record } = this.form.read();
    const text = fileOf(record, this.pack);
    const id = typeof record.id === "string" && record.id || "record";
    const name = `${this.pack.procedure}-${id}`.replace(/[^A-Za-z0-9._-]+/g, "-").slice(0, 80);
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "application/yaml" }));
    link.download = `${name}.yaml`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    this.saved = text;
    const { problems, lacking } = this.judge();
    const wanted = [...problems.map(({ path }) => path), ...lacking].map((path) => labelOf(path, this.of));
    const rest = wanted.length ? ` It cannot be judged before these are mended: ${[...new Set(wanted)].join(", ")}.` : "";
    setText(this.told, `Saved as ${name}.yaml.${rest}`);
    this.keep();
  }

  choose() {
    let chooser = document.getElementById("chooser");
    if (!chooser) {
      chooser = Object.assign(document.createElement("input"), { type: "file", id: "chooser", hidden: true });
      chooser.setAttribute("aria-label", "record to open");
      chooser.addEventListener("change", () => this.open(chooser));
      this.live.append(chooser);
    }
    chooser.value = "";
    chooser.click();
  }

  async open(chooser) {
    const [file] = chooser.files;
    if (!file) return;
    try {
      if (file.size > MOST_BYTES) throw new Unreadable("this file is too large for a record");
      this.take(readFile(await textOf(file)), file.name);
    } catch (fault) {
      if (!(fault instanceof Unreadable)) throw fault;
      setText(this.told, `${file.name} was not opened: ${fault.message}.`);
    }
  }

  take({ record, filedFor }, name) {
    const { procedure } = this.pack;
    if (this.takenAsEvidence(record, name)) return;
    if (record.procedure !== procedure) {
      const named = typeof record.procedure === "string" && record.procedure;
      const other = named ? `of ${clipped(named)}` : "of no kind of test that it names";
      throw new Unreadable(`it is a record ${other}, and this is the form of ${procedure}`);
    }
    const asked = "What is typed here is not saved as a file. Open the other record all the same?";
    if (this.unsaved() && !window.confirm(asked)) return;
    this.form.fill(record);
    this.saved = fileOf(this.form.read().record, this.pack);
    const said = [`${name} is open.`];
    const here = `${this.pack.ruleset}@${this.pack.edition}`;
    if (filedFor && filedFor.digest !== this.pack.digest) {
      const other = filedFor.name === here ? `another text of ${here}` : clipped(filedFor.name);
      said.push(`It was filled in for ${other}, and is judged here by ${here}.`);
    }
    const hidden = [...this.form.kept.values()].filter(({ text }) => text === undefined).map(({ steps }) => pathOf(steps));
    const more = hidden.length > 5 ? ` and ${hidden.length - 5} more` : "";
    if (hidden.length) said.push(`Kept, without a box here: ${hidden.slice(0, 5).map(clipped).join(", ")}${more}.`);
    setText(this.told, said.join(" "));
    this.judge();
    this.keep();
  }

  // A record of another kind of test that this one can rest on comes into its box, whole.
  takenAsEvidence(record, name) {
    const slots = shapeBelow(this.form.shape, ["evidence"]);
    const fitting = Object.entries(slots ? slots.fields : {}).filter(([, slot]) => slot.procedure === record.procedure);
    if (record.procedure === this.pack.procedure || fitting.length !== 1) return false;
    const [[slot, { title }]] = fitting;
    this.form.place(record, ["evidence", slot], null);
    setText(this.told, `${name} is taken as the ${title} that this test rests on.`);
    this.judge();
    this.keep();
    return true;
  }

  clear() {
    if (!window.confirm("Clear everything that is filled in here?")) return;
    this.form.clear(true);
    this.store.forget();
    this.saved = fileOf(this.form.read().record, this.pack);
    setText(this.told, "All is cleared.");
    this.showOthers();
    this.judge();
    setText(this.kept, "");
  }

  add(list) {
    const row = this.form.add(list);
    const first = row.querySelector("input, select");
    if (first) first.focus();
    this.soon();
  }
}

const MOST_BYTES = 8000000;
const MOST_OTHERS = 3;
const FROM_ANOTHER = "Kept from another window, and in no file yet";

async function textOf(file) {
  try {
    return await file.text();
  } catch {
    throw new Unreadable("this device does not let it be read any more");
  }
}

const rulesElement = document.getElementById("rules");
if (rulesElement && document.getElementById("live")) new Page(JSON.parse(rulesElement.textContent)).start();
