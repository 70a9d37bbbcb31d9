/* What the answer hangs on, and what to ask next: the rest of `studies.verdict`, with `decision` and `past`.

Offers are put back to the tool's own figure, and all ways are evaluated again in draws of their own.
*/

const DEGREE = 3;
const TOLERANCE = 1e-9;

/* Solve a few equations by elimination, the largest first. */
function solved(matrix, right) {
  const rows = matrix.map((row, place) => [...row, ...right[place]]);
  const size = matrix.length;
  for (let column = 0; column < size; column++) {
    const best = rows.slice(column).reduce((place, row, at) =>
      (Math.abs(row[column]) > Math.abs(rows[place][column]) ? column + at : place), column);
    [rows[column], rows[best]] = [rows[best], rows[column]];
    for (const row of rows) {
      if (row === rows[column]) continue;
      const share = row[column] / rows[column][column];
      for (let place = column; place < row.length; place++) row[place] -= share * rows[column][place];
    }
  }
  return rows.map((row, place) => row.slice(size).map((value) => value / row[place]));
}

/* Mean cost of each way as it hangs on one input, by draw: least squares on the powers of its score. */
function costsByInput(costs, scores, weights) {
  const powers = Array.from({ length: DEGREE + 1 }, (_, power) => scores.map((score) => score ** power));
  const sum = (one, other) => weights.reduce((total, weight, draw) => total + weight * one[draw] * other[draw], 0);
  const fitted = solved(powers.map((one) => powers.map((other) => sum(one, other))),
    powers.map((one) => costs.map((cost) => sum(one, cost))));
  return costs.map((_, way) => scores.map((_score, draw) =>
    powers.reduce((total, power, term) => total + power[draw] * fitted[term][way], 0)));
}

/* For each column of rows: which row is the smallest, the first of equals. */
const smallest = (rows, column) => rows.reduce((best, row, place) => (row[column] < rows[best][column] ? place : best), 0);

class Hangs {
  constructor(model, judged) {
    Object.assign(this, { model, judged, ways: judged.ways, weights: model.weights, rules: model.stored.rules });
    this.lead = judged.acting;
    this.named = this.lead.named;
    this.costs = this.ways.names.map((name) => this.ways.cost(name));
  }

  /* The figure that turns the lead by itself: one that can be asked for, or another. */
  turn(telephone) {
    const { figures } = this.model.scenario;
    const { names } = this.ways;
    const found = [];
    for (const path of Object.keys(this.model.values).sort()) {
      const figure = figures[path];
      if (figure.telephone !== telephone || path === 'owner.holding_period' || figure.basis === 'offer') continue;
      const fitted = costsByInput(this.costs, this.model.scores[path], this.weights);
      const best = Array.from(this.weights.keys(), (draw) => smallest(fitted, draw));
      const own = fitted[names.indexOf(this.lead.place.way)];
      const worth = dot(this.weights, own.map((cost, draw) => cost - fitted[best[draw]][draw]));
      const values = this.model.values[path];
      let running = 0;
      const order = rising(values).filter((draw) => {
        running += this.weights[draw];
        return running > this.rules.outermost && running <= 1 - this.rules.outermost;
      });
      found.push(this.end(path, order.map((draw) => values[draw]), order.map((draw) => names[best[draw]]), worth));
    }
    if (!telephone) found.push(this.turnOfYears());
    const least = this.rules.worth_naming * Math.abs(this.lead.place.mean);
    return found.filter((one) => one !== null && one.worth >= least)
      .reduce((most, one) => (most === null || compared([one.worth, one.path], [most.worth, most.path]) > 0 ? one : most), null);
  }

  /* From which year of sale on another place leads, within the years that may be. */
  turnOfYears() {
    const path = 'owner.holding_period';
    const figure = this.model.scenario.figures[path];
    if (!isRanged(figure)) return null;
    const { names } = this.ways;
    const last = Math.min(Math.floor(figure.high), this.ways.costs[this.ways.subject].byYear.length - 1);
    const years = [];
    for (let year = Math.max(1, Math.ceil(figure.low)); year <= last; year++) years.push(year);
    if (!years.length) return null;
    const means = names.map((name) => years.map((year) => dot(this.weights, this.ways.costs[name].byYear[year])));
    const kept = this.model.values[path].map(roundEven);
    const best = years.map((_, place) => smallest(means, place));
    const own = means[names.indexOf(this.lead.place.way)];
    const worth = years.reduce((sum, year, place) => {
      const share = this.weights.reduce((total, weight, draw) => total + (kept[draw] === year ? weight : 0), 0);
      return sum + share * (own[place] - means[best[place]][place]);
    }, 0);
    return this.end(path, years, best.map((place) => names[place]), worth);
  }

  /* The turn at an end of an input, from the best way at each rising value. */
  end(path, values, best, worth) {
    const places = new Map(this.ways.places().flatMap((place) => place.ways.map((name) => [name, place])));
    for (const below of [true, false]) {
      const [row, ends] = below ? [best, values] : [[...best].reverse(), [...values].reverse()];
      if (!row.length || this.named.has(row[0])) continue;
      const stays = row.findIndex((name) => this.named.has(name));
      if (stays < 0) continue;
      return { path, value: (ends[stays - 1] + ends[stays]) / 2, below, place: places.get(row[stays - 1]), worth };
    }
    return null;
  }

  /* The offer that changes the lead, else the word; null if none does. */
  async offer() {
    const { judged } = this;
    const spraying = this.named.has(judged.subject);
    const found = [];
    for (const [name, path, scenario] of this.offers()) {
      const without = await evaluated({ ...this.model, scenario }, Math.ceil(judged.years));
      const lead = without.lead(this.lead === judged.lead);
      if (lead === null) continue;
      const pair = without.gap(judged.subject, judged.against);
      const same = this.named.has(lead.place.way) && lead.named.has(judged.subject) === spraying;
      if (!same || (judged.priced && this.otherWord(pair, without.error(pair.chance)))) {
        found.push({ turned: !same, name, path, lead, pair });
      }
    }
    return leastBy(found, (one) => [Number(!one.turned), one.path]);
  }

  otherWord({ chance }, error) {
    if (wordOf(this.rules, chance) === this.judged.word) return false;
    return this.rules.limits.every((limit) => Math.abs(chance - limit) >= this.rules.errors * error);
  }

  /* The scenario without each offered figure but the quote: the tool's own stands for it, or no warranty. */
  * offers() {
    const { scenario, stored } = this.model;
    const price = 'figures.shop_reseal_cost';
    if (scenario.figures[price]?.basis === 'offer') {
      const own = { [price]: stored.figures[price] };
      yield ['shop_reseal_cost', price, { ...scenario, figures: { ...scenario.figures, ...own } }];
    }
    const { coating } = scenario.roofs;
    if (coating.numbers.warranty_years) {
      const numbers = { ...coating.numbers, warranty_years: 0, warranty_share: 0 };
      yield ['warranty', 'roofs.coating.warranty_share', { ...scenario, roofs: { ...scenario.roofs, coating: { ...coating, numbers } } }];
    }
  }
}

/* The ways of a scenario, complete as they stand, in draws of its own. */
async function evaluated(model, years) {
  const { stored, kernel, draws } = model;
  const { values, scores } = drawn(stored, model.scenario.figures);
  const resolved = resolve(stored, model.scenario, values);
  const weights = historyWeights(kernel, stored.kernel, resolved, draws);
  const own = { ...model, values, scores, resolved, weights };
  return new Ways(own, await costsOf(own, own.scenario.ways, Math.max(1, years), draws));
}

/* Chance that the standing roof hides a leak today, every figure at its likely value (`evaluation.past`). */
function hiddenToday({ existing, leaks }) {
  const { roof, age, sealAge, inspected } = existing;
  const due = pastVisits(existing);
  const unseen = Math.exp(-leaks.sign_rate / 12);
  const most = (day, share) => day.reduce((left, visit) => Math.min(left, 1 - visit[share]), 1);
  const left = new Float64Array(age + 2).fill(1);
  for (let month = age; month > 0; month--) {
    left[month] = left[month + 1] * unseen * due[month].reduce((miss, visit) => miss * (1 - visit.finds), 1);
  }
  const untilSevere = Math.max(0, Math.floor(12 * leaks.severe_after - 0.5 + TOLERANCE) + 1);
  const firstYear = roof.age_leaks_ten_years / 10 ** roof.age_leak_growth;
  const grown = (from, to, power) => to ** power - from ** power;
  let [seal, effective, hidden] = [0, 0, 0];
  for (let month = 1; month <= age; month++) {
    const neglect = roof.upkeep_exponent ? Math.min(2, Math.max(1, ((seal + 1 / 24) / 0.5) ** roof.upkeep_exponent)) : 1;
    const [sealEnd, aged] = [seal + 1 / 12, effective + (neglect * roof.ageing) / 12];
    const born = roof.joint_leaks_first_year * grown(seal, sealEnd, roof.joint_leak_growth)
      + firstYear * grown(effective, aged, roof.age_leak_growth) + roof.puncture_rate / 12;
    const ends = roof.ends_by_leak * grown(effective / roof.life_scale, aged / roof.life_scale, roof.life_shape);
    const silent = born * leaks.silent_share;
    const turned = month + untilSevere;
    const still = turned > age;
    const open = (born + ends - silent) * left[month] + (still ? 0 : silent * left[turned]);
    hidden += open * (1 - inspected) + (still ? silent : 0);
    seal = sealEnd * most(due[month], 'restores');
    effective = aged * most(due[month], 'rejuvenates');
  }
  return 1 - Math.exp(-hidden);
}
