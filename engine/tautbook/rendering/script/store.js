// What was typed, kept by the browser on this device, so that it outlives a reload or an empty battery.

class Store {
  // A place of its own for each window and file; all of one edition, kind of test and set of figures that the page was
  // made with can be gone on with in any of its windows.
  constructor(pack, madeWith) {
    this.sheet = `${OF_SHEETS}${pack.digest} ${pack.procedure}${madeWith ? ` ${madeWith}` : ""} `;
    this.window = `${this.sheet}${location.pathname}`;
    // What stood in the place when it was last read or written here.
    this.seen = null;
    try {
      this.place = sessionStorage.getItem(this.window);
    } catch {
      this.place = null;
    }
    if (!this.place) this.take(newPlace());
  }

  take(place) {
    this.place = place;
    try {
      sessionStorage.setItem(this.window, place);
    } catch {
      // The place is known as long as the page is open.
    }
  }

  // What was kept, or null.
  load() {
    try {
      this.seen = localStorage.getItem(this.sheet + this.place);
      return this.seen === null ? null : JSON.parse(this.seen);
    } catch {
      return null;
    }
  }

  // -> what went wrong, in words; empty if nothing did.
  keep(state) {
    try {
      const there = localStorage.getItem(this.sheet + this.place);
      // Another window went on here, as a doubled one does: the place is left to it.
      if (there !== null && there !== this.seen) this.take(newPlace());
      const text = JSON.stringify(state);
      this.write(text);
      this.seen = text;
      return "";
    } catch (fault) {
      return isFull(fault) ? "This device has no room left to keep what is typed: save the record as a file."
        : "This browser does not keep what is typed: save the record as a file before you leave.";
    }
  }

  // Where there is no room, what other windows have saved as files gives way.
  write(text) {
    const key = this.sheet + this.place;
    try {
      localStorage.setItem(key, text);
    } catch (fault) {
      const others = Object.keys(localStorage).filter((each) => each.startsWith(OF_SHEETS) && each !== key);
      const saved = others.filter((each) => (stateAt(each) || {}).unsaved === false);
      if (!isFull(fault) || !saved.length) throw fault;
      for (const each of saved) localStorage.removeItem(each);
      localStorage.setItem(key, text);
    }
  }

  // What was typed in other windows and is in no file, the latest first: { place, state }.
  others() {
    try {
      const places = Object.keys(localStorage).filter((key) => key.startsWith(this.sheet)).map((key) => key.slice(this.sheet.length));
      return places.filter((place) => place !== this.place && /^[0-9a-z]+$/.test(place))
        .map((place) => ({ place, state: stateAt(this.sheet + place) }))
        .filter(({ state }) => state && state.unsaved).sort((a, b) => b.state.at - a.state.at);
    } catch {
      return [];
    }
  }

  forget() {
    try {
      if (localStorage.getItem(this.sheet + this.place) === this.seen) localStorage.removeItem(this.sheet + this.place);
    } catch {
      // Where nothing can be kept, nothing has to be forgotten.
    }
    this.take(newPlace());
    this.seen = null;
  }
}

const OF_SHEETS = "tautbook sheet ";
const newPlace = () => Date.now().toString(36) + Math.random().toString(36).slice(2);
const isFull = (fault) => Boolean(fault) && fault.name === "QuotaExceededError";

function stateAt(key) {
  try {
    const state = JSON.parse(localStorage.getItem(key));
    return isObject(state) ? state : null;
  } catch {
    return null;
  }
}
