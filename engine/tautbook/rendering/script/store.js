// What was typed, kept by the browser on this device, so that it outlives a reload or an empty battery.

class Store {
  // One place for each edition, kind of test and set of figures that the page was made with.
  constructor(pack, madeWith) {
    this.key = `tautbook sheet ${pack.digest} ${pack.procedure}${madeWith ? ` ${madeWith}` : ""}`;
  }

  // What was kept, or null; `trouble` says why nothing can be.
  load() {
    try {
      const kept = localStorage.getItem(this.key);
      return kept === null ? null : JSON.parse(kept);
    } catch {
      return null;
    }
  }

  // -> what went wrong, in words; empty if nothing did.
  keep(state) {
    try {
      localStorage.setItem(this.key, JSON.stringify(state));
      return "";
    } catch (fault) {
      const full = fault && fault.name === "QuotaExceededError";
      return full ? "This device has no room left to keep what is typed: save the record as a file."
        : "This browser does not keep what is typed: save the record as a file before you leave.";
    }
  }

  forget() {
    try {
      localStorage.removeItem(this.key);
    } catch {
      // Where nothing can be kept, nothing has to be forgotten.
    }
  }
}
