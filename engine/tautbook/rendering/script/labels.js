// Paths of a record in the words of its schema.

// The shape at steps, through groups and lists, whether or not items have their numbers; null if there is none.
function shapeBelow(shape, steps) {
  let at = shape;
  for (const step of steps) {
    const listed = at.kind === "list";
    if (listed) at = at.item;
    if (typeof step === "number" ? listed : at.kind === "group" && Object.hasOwn(at.fields, step)) {
      if (typeof step !== "number") at = at.fields[step];
    } else return null;
  }
  return at;
}

// The same at a path without numbers, where there is something to call by its title.
function shapeAt(of, path) {
  const shape = shapeBelow(of.record, path ? path.split(".") : []);
  return shape && shape.kind !== "raw" ? shape : null;
}

const withoutNumbers = (path) => path.replace(/\[[0-9]+\]/g, "");
const inPlainWords = (name) => name.replaceAll("_", " ");

// A field by its title, and in brackets what it is part of where the title does not say so.
function labelOf(path, of) {
  const plain = withoutNumbers(path);
  const [first, slot, ...rest] = path.split(".");
  const other = first === "evidence" && slot ? shapeAt(of, `evidence.${slot}`) : null;
  if (other) return labelOfOther(rest.join("."), other, of);
  const shape = shapeAt(of, plain);
  if (!shape) return inPlainWords(plain.split(".").pop());
  const before = plain.split(".").slice(0, -1).join(".");
  const above = before ? shapeAt(of, before) : null;
  if (!above || above.kind === "list" || says(shape.title, above.title)) return shape.title;
  return `${shape.title} (${above.title})`;
}

// A field of another record, and of which one.
function labelOfOther(rest, slot, of) {
  if (!rest || rest === "verdict") return `${rest ? "verdict on the " : ""}${slot.title}`;
  const other = of.rules.procedures.get(slot.procedure);
  const [item] = rest.split(".");
  const where = item.includes("[") ? ` of ${itemLabel(item, other)}` : "";
  return `${labelOf(rest, other)}${where} in the ${slot.title}`;
}

function says(title, part) {
  const words = title.toLowerCase().split(" ");
  return part.toLowerCase().split(" ").every((word) => words.includes(word));
}

// specimens[2] as "specimen 2".
function itemLabel(path, of) {
  const [name, count = ""] = path.split("[");
  const shape = shapeAt(of, name);
  return `${shape && shape.kind === "list" ? shape.singular : name} ${count.replace("]", "")}`;
}

// A value for people: in full where that is short, else rounded and marked.
function shown(value) {
  if (!(value instanceof Quantity)) return inWords(value);
  const text = shownInFull(value), [written] = text.split(" ");
  const endless = written.includes("/") && value.inItsUnit.under > 64n;
  if (written.length <= 9 && !endless) return text;
  return value.unit.name ? `${about(value.inItsUnit)} ${value.unit.name}` : about(value.inItsUnit);
}
