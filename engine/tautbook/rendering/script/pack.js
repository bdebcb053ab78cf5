// The pack made ready: numbers of nodes become the nodes themselves, written values become values. Done once.

const ready = new WeakMap();

function rulesOf(pack) {
  if (!ready.has(pack)) ready.set(pack, new Rules(pack));
  return ready.get(pack);
}

class Rules {
  constructor(pack) {
    this.pack = pack;
    this.kinds = pack.kinds;
    this.nodes = [];
    for (const row of pack.nodes) this.nodes.push(this.node(row));
    this.tables = pack.tables.map((table) => this.table(table));
    this.procedures = new Map(Object.entries(pack.procedures).map(([name, of]) => [name, this.procedure(name, of)]));
  }

  // A row is [construct, number of its kind, ...parts]; nodes refer to nodes before them.
  node([construct, kind, ...parts]) {
    const node = { construct, kind: this.kinds[kind] };
    ENGINE.constructs[construct].forEach(([name, how], i) => {
      node[name] = this.part(how, parts[i]);
    });
    return Object.freeze(node);
  }

  part(how, data) {
    switch (how) {
      case "node": case "field": return this.nodes[data];
      case "nodes": return data.map((at) => this.nodes[at]);
      case "value": case "quantity": return valueFrom(data);
      case "stuck": return { by: data[0], detail: data[1] };
      default: return data;
    }
  }

  at(number) {
    return number === null || number === undefined ? null : this.nodes[number];
  }

  table({ name, bands, cells, covers }) {
    const end = (data) => (data === null ? null : valueFrom(data));
    const made = (all) => all && all.map(([label, over, upTo]) => ({ label, over: end(over), upTo: end(upTo) }));
    const keyFor = (keys) => JSON.stringify(keys.map((key) => keyOf(valueFrom(key))));
    const values = new Map(cells.map(([keys, value]) => [keyFor(keys), valueFrom(value)]));
    const words = cells.map(([[key]]) => valueFrom(key)).filter((key) => typeof key === "string");
    return { name, covers, words, bands: bands.map(made), cells: values };
  }

  procedure(name, { record, derived, sound, judged }) {
    return {
      rules: this, name, record,
      derived: derived.map((rule) => ({
        ...rule, value: this.at(rule.value), when: this.at(rule.when), otherwise: this.at(rule.otherwise),
      })),
      sound: sound.map((rule) => ({ ...rule, require: this.at(rule.require) })),
      judged: judged && this.judged(judged),
    };
  }

  judged({ months, asks, own, terms, tables, requirements }) {
    return {
      months, own,
      asks: new Map(Object.entries(asks)),
      terms: new Map(Object.entries(terms).map(([name, term]) => [name, { ...term, body: this.at(term.body) }])),
      tables: new Map(Object.entries(tables).map(([name, [at, standing]]) => [name, { ...this.tables[at], standing }])),
      requirements: requirements.map((each) => ({
        voids: null, each: null, singular: null, over: [], covers: false, waivable_by: [], absent: null,
        standing: null, otherwise: null, ...each,
        require: this.at(each.require), applies: this.at(each.applies),
        unless: (each.unless || []).map(([id, said, when]) => ({ id, title: said, when: this.at(when) })),
      })),
    };
  }
}

// What has no rules of an edition, such as the sense of a record, is evaluated on these.
const NO_RULES = { months: "clamp", terms: new Map(), tables: new Map() };

// A value as the kernel's JSON form writes it.
function valueFrom(data) {
  if (typeof data === "boolean") return data;
  if (Array.isArray(data)) return new Quantity(rationalFrom(data[0]), unitNamed(data[1]));
  if ("word" in data) return data.word;
  if ("date" in data) return new Day(ordinalOf(...data.date.split("-").map(Number)));
  return new Span(data.months, data.days);
}
