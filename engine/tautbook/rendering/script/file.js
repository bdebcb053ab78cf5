// A record as a file: written so that it can be judged as it is, and read back strictly, every value as its text.
//
// The file is JSON below one line of comment, which makes it YAML. The comment names the edition it was filled in for.

const FILED_FOR = /^# Filled in on the sheet of (\S+) \((\S+)\)\.$/m;
const JSON_NUMBER = /^-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?$/;

function fileOf(record, pack) {
  const name = `${pack.ruleset}@${pack.edition}`;
  const { record: { fields }, judged } = pack.procedures[pack.procedure];
  // What the authority observes besides is written in the kinds that its edition gives it.
  const local = { kind: "group", fields: { [pack.ruleset]: judged && judged.own } };
  const shape = { kind: "group", fields: { ...fields, local } };
  return `# Filled in on the sheet of ${name} (${pack.digest}).\n${filedPart(record, shape, "", pack)}\n`;
}

// One part of a record. Numbers and answers stand bare, everything else in quotes.
function filedPart(part, shape, indent, pack) {
  if (part === null) return "null";
  const inner = `${indent}  `;
  if (isList(part)) {
    const items = part.map((item) => inner + filedPart(item, shape && shape.item, inner, pack));
    return items.length ? `[\n${items.join(",\n")}\n${indent}]` : "[]";
  }
  if (isObject(part)) {
    const of = shape && shape.kind === "evidence" ? pack.procedures[shape.procedure].record : shape;
    const below = (name) => (of && of.fields && Object.hasOwn(of.fields, name) ? of.fields[name] : null);
    const fields = Object.keys(part).map((name) => `${inner}${quoted(name)}: ${filedPart(part[name], below(name), inner, pack)}`);
    return fields.length ? `{\n${fields.join(",\n")}\n${indent}}` : "{}";
  }
  const kind = shape ? shape.kind : "raw";
  const bare = (["yes-no", "raw"].includes(kind) && ["true", "false"].includes(part))
    || (["whole", "raw"].includes(kind) && JSON_NUMBER.test(part) && part.length <= ENGINE.limits.number);
  return bare ? part : quoted(part);
}

// What does not show, and what a line or a script could end at, is written by its number.
function quoted(text) {
  const byNumber = (character) => `\\u${character.charCodeAt(0).toString(16).padStart(4, "0")}`;
  return JSON.stringify(text).replace(/[<\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]/g, byNumber);
}

class Unreadable extends Error {}

// -> { record, filedFor }: the record with every value as its text, and the edition that the comment names, if any.
function readFile(text) {
  const body = text.replace(/^\ufeff/, "").replace(/^(?:[ \t]*(?:#[^\n]*)?\r?\n)*/, "");
  const named = FILED_FOR.exec(text.slice(0, text.length - body.length));
  const record = new JsonReader(body).whole();
  if (!isObject(record)) throw new Unreadable("this file holds no record of a test");
  return { record, filedFor: named && { name: named[1], digest: named[2] } };
}

// JSON with every value as its text; names are kept apart from those of the language.
class JsonReader {
  constructor(text) {
    this.text = text;
    this.at = 0;
    this.depth = 0;
  }

  whole() {
    const value = this.value();
    this.blanks();
    return this.at === this.text.length ? value : this.fail();
  }

  fail(why = "it is not a record that was saved from a sheet") {
    const line = this.text.slice(0, this.at).split("\n").length;
    throw new Unreadable(`this file cannot be read, ${why} (line ${line} of its data)`);
  }

  blanks() {
    while (" \t\r\n".includes(this.text[this.at] || "x")) this.at += 1;
  }

  take(token) {
    this.blanks();
    if (!this.text.startsWith(token, this.at)) return false;
    this.at += token.length;
    return true;
  }

  value() {
    if (this.depth > ENGINE.limits.depth) this.fail("it is nested too deep");
    if (this.take("{")) return this.inside(() => this.object());
    if (this.take("[")) return this.inside(() => this.list());
    this.blanks();
    if (this.text[this.at] === '"') return this.string();
    const [word] = /^[-+.0-9A-Za-z]*/.exec(this.text.slice(this.at, this.at + 400));
    if (!["true", "false", "null"].includes(word) && !JSON_NUMBER.test(word)) this.fail();
    this.at += word.length;
    return word === "null" ? null : word;
  }

  inside(read) {
    this.depth += 1;
    const value = read();
    this.depth -= 1;
    return value;
  }

  object() {
    const found = Object.create(null);
    if (this.take("}")) return found;
    do {
      this.blanks();
      const name = this.string();
      if (name in found) this.fail("something stands in it twice");
      if (!this.take(":")) this.fail();
      found[name] = this.value();
    } while (this.take(","));
    return this.take("}") ? found : this.fail();
  }

  list() {
    const found = [];
    if (this.take("]")) return found;
    do found.push(this.value()); while (this.take(","));
    return this.take("]") ? found : this.fail();
  }

  string() {
    const end = /"(?:[^"\\\x00-\x1f]|\\.)*"/y;
    end.lastIndex = this.at;
    const match = end.exec(this.text);
    if (!match) this.fail();
    this.at += match[0].length;
    try {
      return JSON.parse(match[0]);
    } catch {
      return this.fail();
    }
  }
}
