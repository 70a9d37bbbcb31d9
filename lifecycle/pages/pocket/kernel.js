/* The compiled kernel: from a resolved case to its rows, calendars and lines, and back (`compiled.calling`).

A case is laid out once and evaluated for all draws; see the lecture of `calling` for what the kernel is given.
*/

/* Open the kernel and ask what it reads. */
async function openKernel(base64) {
  const { instance } = await WebAssembly.instantiate(bytesOf(base64), {});
  const calls = instance.exports;
  calls._initialize?.();
  const bytes = new Uint8Array(calls.memory.buffer);
  let text = '';
  for (let place = calls.lifecycle_layout(); bytes[place]; place++) text += String.fromCharCode(bytes[place]);
  const layout = {};
  for (const list of text.split(';')) {
    const [name, ...names] = list.split(' ');
    layout[name] = names;
  }
  return { calls, layout, lanes: calls.lifecycle_lanes() };
}

const isFullReseal = (visit) => (typeof visit.restores === 'number'
  ? visit.restores === 1 : visit.restores.every((share) => share === 1));

/* Visits of each month 0 ... months: `clocks` are [visit, first month, interval]. */
function calendarOf(clocks, months, leftOut = () => false) {
  const due = Array.from({ length: months + 1 }, () => []);
  for (const [visit, first] of clocks) {
    for (let month = first; month <= months; month += visit.every) {
      if (!leftOut(visit, month)) due[month].push(visit);
    }
  }
  return due;
}

function dueVisits(roof, months, existing, planned) {
  const clocks = roof.visits.map((visit) => {
    if (!existing) return [visit, visit.every];
    const ago = existing.lastVisits[visit.name] ?? (isFullReseal(visit) ? existing.sealAge : 0);
    return [visit, Math.max(0, visit.every - ago)];
  });
  return calendarOf(clocks, months, (visit, month) => planned !== null
    && (month === planned || (isFullReseal(visit) && planned - 12 <= month && month < planned)));
}

/* Visits that were really paid since the existing roof was laid. */
function pastVisits({ roof, age, sealAge }) {
  const due = Array.from({ length: age + 1 }, () => []);
  for (const visit of roof.visits) {
    const months = [];
    if (isFullReseal(visit)) for (let m = age - sealAge; m > 0; m -= visit.every) months.push(m);
    else for (let m = visit.every; m < age; m += visit.every) months.push(m);
    for (const month of months) if (month > 0 && month < age) due[month].push(visit);
  }
  return due;
}

const anyAbove = (value) => (typeof value === 'number' ? value !== 0 : value.some((one) => one !== 0));

/* A case laid out for the kernel. */
class Plan {
  constructor(kernel, rules, kase, byLine) {
    Object.assign(this, { kernel, rules, kase, byLine, values: [], placed: new Map(), calendar: [], upkeepLines: [] });
    this.years = kase.terms.years;
    this.months = 12 * this.years;
    this.nameLines();
    this.layOut();
  }

  nameLines() {
    const { kase, rules } = this;
    this.due = kase.ways.map((way) => {
      const planned = way.changeMonth;
      const last = planned === null ? this.months : Math.min(planned, this.months);
      return [dueVisits(way.roof, last, kase.existing, planned), dueVisits(way.then, this.months, null, null)];
    });
    const names = new Set();
    kase.ways.forEach((way, place) => [way.roof, way.then].forEach((roof, which) => {
      const there = { insurance: anyAbove(kase.leaks.insured_share), warranty: anyAbove(roof.warranty_share), energy: anyAbove(roof.energy_cost) };
      for (const name of rules.categories) if (name !== 'upkeep' && (there[name] ?? true)) names.add(name);
      for (const day of this.due[place][which]) for (const visit of day) names.add(`upkeep: ${visit.name}`);
    }));
    const order = (name) => [rules.categories.indexOf(name.split(':')[0]), name];
    const ordered = [...names].sort((one, other) => compared(order(one), order(other)));
    this.lines = Object.fromEntries(ordered.map((name, place) => [name, place]));
    this.moneyLines = ordered.length;
    this.rates = [...ordered.map(() => 0), 0];
    this.firstChanges = ordered.length;
    this.countLine = {};
    if (this.byLine) rules.counts.forEach((name) => { this.countLine[name] = this.rates.length; this.rates.push(1); });
  }

  /* The first row of the numbers of some things that stand together. */
  rows(kind, things) {
    const first = this.values.length;
    for (const thing of things) {
      const known = this.placed.get(thing)?.[kind];
      if (things.length === 1 && known !== undefined) return known;
      this.placed.set(thing, { ...this.placed.get(thing), [kind]: known ?? this.values.length });
      for (const name of this.kernel.layout[kind]) this.values.push(thing[name]);
    }
    return first;
  }

  visits(due, lines) {
    const visits = [...new Set(due.flat())];
    const placed = { due: this.calendar.length, visits: visits.length, upkeep_line: this.upkeepLines.length };
    for (const day of due) this.calendar.push(day.reduce((bits, visit) => bits | (1 << visits.indexOf(visit)), 0));
    if (lines) this.upkeepLines.push(...visits.map((visit) => this.lines[`upkeep: ${visit.name}`]));
    return { ...placed, visit: visits.length ? this.rows('Visit', visits) : 0 };
  }

  spell(roof, due, price, days, rest) {
    const change = this.values.length;
    this.values.push(price, days);
    return { roof: this.rows('Roof', [roof]), leaks: this.rows('Leaks', [this.kase.leaks]), change, ...this.visits(due, true), ...rest };
  }

  layOut() {
    const { kase, years, months } = this;
    const { existing, terms } = kase;
    this.values.push(Math.round(12 * terms.holding), terms.dayCost, terms.hourValue);
    this.values.push(each((one) => (1 / (1 + one)) ** (1 / 12), terms.discountRate), 1);
    const past = this.past(existing);
    const spells = [];
    const following = new Map();
    kase.ways.forEach((way, place) => {
      if (following.has(way.then)) return;
      following.set(way.then, spells.length);
      spells.push(this.spell(way.then, this.due[place][1], way.then.renew_cost, way.then.renew_days,
        { last: months, planned: -1, newly_laid: 1, calendar_age: 0, seal_age: 0 }));
    });
    const lines = this.byLine ? this.rates.length : 0;
    const lengths = { by_year: years + 1, at_holding: 1, found_at_sale: 1, residual: 1, first_change_at_holding: 1,
      first_change: years + 1, apart_at_holding: 0, apart_by_year: 0, chance_renewed: lines && years + 1, by_line: lines };
    this.places = {};
    this.perWay = 0;
    for (const [name, length] of Object.entries(lengths)) {
      this.places[name] = [this.perWay, this.perWay + length];
      this.perWay += length;
    }
    const first = (place) => Object.fromEntries(Object.entries(this.places).map(([name, [start]]) => [name,
      name === 'by_line' && !lines ? -1 : place * this.perWay + start]));
    const ways = kase.ways.map((way, place) => {
      const within = way.changeMonth !== null && way.changeMonth <= months;
      spells.push(this.spell(way.roof, this.due[place][0], way.quote, way.days, {
        last: within ? way.changeMonth : months, planned: within ? way.changeMonth : -1, newly_laid: 0,
        calendar_age: existing.age, seal_age: existing.sealAge }));
      return { existing: following.size + place, following: following.get(way.then), apart: 0, aparts: 0, ...first(place) };
    });
    const sizes = { months, years, new_roofs: following.size, ways: ways.length, lines: this.rates.length,
      money_lines: this.moneyLines, rates: 2, rows: this.perWay * ways.length, most_cohorts: existing.age };
    const which = { ...this.countLine, first_changes: this.firstChanges };
    for (const [name, place] of Object.entries(this.lines)) which[name.replaceAll(' ', '_')] = place;
    const whole = (kind, things) => Int32Array.from(things.flatMap((thing) => this.kernel.layout[kind].map((name) => thing[name])));
    this.arrays = [whole('Sizes', [sizes]), whole('Past', [past]),
      Int32Array.from(this.kernel.layout.Lines.map((name) => which[name] ?? -1)),
      whole('Spell', spells), whole('Way', ways), Int32Array.from(this.calendar),
      Int32Array.from([...this.upkeepLines, 0]), Int32Array.from(this.rates), new Float64Array(1), new Int32Array(1)];
  }

  past(existing) {
    this.values.push(existing.inspected);
    const inspected = this.values.length - 1;
    return { age: existing.age, roof: this.rows('Roof', [existing.roof]), leaks: this.rows('Leaks', [this.kase.leaks]),
      ...this.visits(pastVisits(existing), false), listed: -1, hidden_leak: 0, inspected, effective_age: -1 };
  }

  /* Evaluate some draws; one Float64Array for each row of the results. */
  run(draws) {
    return this.called('lifecycle_expect', this.arrays, this.perWay * this.kase.ways.length, draws);
  }

  /* The logarithm of the chance that the existing roof stands, of some draws. */
  recall(draws) {
    const { Sizes, History } = this.kernel.layout;
    const sizes = { months: this.kase.existing.age, rates: 1, rows: History.length };
    const arrays = [Int32Array.from(Sizes.map((name) => sizes[name] ?? 0)), ...this.arrays.slice(1)];
    return this.called('lifecycle_recall', arrays, History.length, draws)[History.indexOf('log_stands')];
  }

  called(entry, arrays, rows, draws) {
    const { calls, lanes } = this.kernel;
    const columns = Math.ceil(draws / lanes) * lanes;
    const held = [];
    const room = (bytes) => { const place = calls.malloc(bytes); if (!place) throw new Error('no memory'); held.push(place); return place; };
    const numbers = room(8 * columns * this.values.length);
    const results = room(8 * columns * rows);
    const pointers = arrays.map((array) => {
      const place = room(Math.max(array.byteLength, 8));
      new Uint8Array(calls.memory.buffer).set(new Uint8Array(array.buffer), place);
      return place;
    });
    const filled = new Float64Array(calls.memory.buffer, numbers, columns * this.values.length);
    this.values.forEach((value, row) => {
      const at = row * columns;
      if (typeof value === 'number') filled.fill(value, at, at + columns);
      else {
        filled.set(value.subarray(0, draws), at);
        filled.fill(value[draws - 1], at + draws, at + columns);
      }
    });
    const head = room(64);
    const view = new DataView(calls.memory.buffer);
    view.setInt32(head, numbers, true);
    view.setInt32(head + 4, results, true);
    view.setBigInt64(head + 8, BigInt(columns), true);
    pointers.forEach((place, number) => view.setInt32(head + 16 + 4 * number, place, true));
    const failed = calls[entry](head, 0n, BigInt(columns));
    if (failed) throw new Error(failed === 1 ? 'no memory' : 'a result without a row');
    const memory = new Float64Array(calls.memory.buffer, results, columns * rows);
    const out = Array.from({ length: rows }, (_, row) => memory.slice(row * columns, row * columns + draws));
    held.forEach((place) => calls.free(place));
    return out;
  }

  /* The rows of one result of a way, by its place and by name. */
  read(results, place, name) {
    const [start, end] = this.places[name];
    return results.slice(place * this.perWay + start, place * this.perWay + end);
  }
}

/* What every way of a case costs: by year of sale, at the years kept; and by line, where it is wanted. */
function evaluate(kernel, rules, kase, draws, byLine = false) {
  const plan = new Plan(kernel, rules, kase, byLine);
  const results = plan.run(draws);
  return Object.fromEntries(kase.ways.map((way, place) => {
    const read = (name) => plan.read(results, place, name);
    const found = { byYear: read('by_year'), cost: read('at_holding')[0] };
    if (byLine) {
      found.renewed = read('chance_renewed');
      const lines = read('by_line');
      found.expected = Object.fromEntries(Object.entries(plan.countLine).map(([name, line]) => [name, lines[line][0]]));
    }
    return [way.name, found];
  }));
}

/* No draw can explain the history of the roof. */
class NoFuture extends Error {}

/* Weights of the draws by the chance that the existing roof still stands, adding up to 1. */
function historyWeights(kernel, rules, kase, draws) {
  if (kase.existing.age === 0) return new Float64Array(draws).fill(1 / draws);
  const logs = new Plan(kernel, rules, kase, false).recall(draws);
  const highest = Math.max(...logs);
  if (!Number.isFinite(highest)) throw new NoFuture();
  const stands = logs.map((one) => Math.exp(one - highest));
  const sum = stands.reduce((total, one) => total + one, 0);
  return stands.map((one) => one / sum);
}
