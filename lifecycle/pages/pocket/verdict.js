/* The one set of ways and the verdict as numbers: `studies.ways` and `studies.verdict` once more.

Costs are by future, Float64Array; weights add up to 1. What the answer hangs on follows in `hangs`.
*/

const of20 = (chance) => Math.floor(20 * chance + 0.5);
const dot = (weights, values) => weights.reduce((sum, weight, draw) => sum + weight * values[draw], 0);

/* Mean, and the values that 8 in 10 futures lie between. */
function bandOf(values, weights) {
  const points = [];
  let sum = 0;
  for (const draw of rising(values)) {
    points.push([sum + 0.5 * weights[draw], values[draw]]);
    sum += weights[draw];
  }
  const at = (share) => {
    const next = points.findIndex(([running]) => running >= share);
    if (next === 0) return points[0][1];
    if (next < 0) return points[points.length - 1][1];
    const [[x0, y0], [x1, y1]] = [points[next - 1], points[next]];
    return y0 + ((y1 - y0) * (share - x0)) / (x1 - x0);
  };
  return { mean: dot(weights, values), low: at(0.1), high: at(0.9) };
}

const minus = (one, other) => one.map((value, draw) => value - other[draw]);

/* Chance that one cost is below another; within a share of the smaller they count half. */
function chanceCheaper(cost, than, weights, within) {
  return weights.reduce((sum, weight, draw) => {
    const [one, other] = [cost[draw], than[draw]];
    const tie = Math.abs(one - other) <= within * Math.abs(Math.min(one, other));
    return sum + weight * (tie ? 0.5 : Number(one < other));
  }, 0);
}

const DIGITS_OF_A_MEAN = 9;

/* A mean without the digits that rounding makes. */
const toRounding = (mean) => Number(mean.toPrecision(DIGITS_OF_A_MEAN));

/* How ways are ordered by their means: the first by name of equals. */
const byMean = (means) => (name) => [toRounding(means[name]), name];

const leastBy = (things, key) => things.reduce((best, one) =>
  (best === null || compared(key(one), key(best)) < 0 ? one : best), null);

const needsClimbing = (scenario, way) => (way.change === 0 ? [way.then] : [way.roof, way.then])
  .some((name) => climbed(scenario, name));
const climbed = (scenario, roof) => scenario.roofs[roof].visits.some((visit) => visit.climbs);

/* Whether the owner was not sure of an answer. */
const unsure = (scenario, key) => scenario.answers[key] === NOT_SURE;

/* ------------------------------------------------------------------ the one set of ways */

function waitingRoofs(scenario) {
  return [...new Set(scenario.ways.filter((way) => !way.added).map((way) => way.roof))].sort();
}

/* The title of a way that waits, with the upkeep until then. */
function waitingTitle(words, scenario, way, roof) {
  const kept = scenario.ways.filter((one) => one.roof === roof && one.keeps).map((one) => one.title).sort();
  if (waitingRoofs(scenario).length === 1 || !kept.length) return way.title;
  return way.title + filled(words.titles.until_then, { upkeep: inner(kept[0]) });
}

/* A case cut to some ways, years shown and one holding period; `ways` are those of the scenario. */
function caseOf(resolved, ways, years, draws) {
  const known = new Map(resolved.ways.map((way) => [way.name, way]));
  const [first] = resolved.ways.filter((way) => way.subject);
  return { ...resolved, terms: { ...resolved.terms, years },
    ways: ways.map((way) => ({ ...(known.get(way.name) ?? first), name: way.name, roof: resolved.roofs[way.roof],
      then: resolved.roofs[way.then], changeMonth: way.change === null ? null : Math.round(12 * way.change) })), draws };
}

const TOGETHER = 8;

/* Evaluate ways some at a time, those with one roof to follow side by side; `pause` lets the page breathe. */
async function costsOf(model, ways, years, draws) {
  const { kernel, stored, resolved, pause } = model;
  const ordered = sortedBy(ways, (way) => [way.then]);
  const found = {};
  for (let first = 0; first < ordered.length; first += TOGETHER) {
    const some = caseOf(resolved, ordered.slice(first, first + TOGETHER), years);
    Object.assign(found, evaluate(kernel, stored.kernel, some, draws));
    await pause();
  }
  return found;
}

async function meansOf(model, ways, draws) {
  const weights = model.weights.slice(0, draws);
  const sum = weights.reduce((total, one) => total + one, 0);
  const costs = await costsOf(model, ways, Math.max(1, Math.ceil(model.resolved.terms.holding)), draws);
  return Object.fromEntries(Object.entries(costs).map(([name, one]) => [name, dot(weights, one.cost) / sum]));
}

/* Complete the ways: waiting under its best upkeep, the best date among them. */
async function oneSet(model) {
  const { scenario, stored: { rules, words }, resolved } = model;
  const subject = scenario.ways.find((way) => way.subject);
  const roofs = waitingRoofs(scenario);
  const dates = Array.from({ length: Math.max(0, Math.ceil(resolved.terms.holding) - 1) }, (_, year) => year + 1);
  const waiting = [
    ...[...dates, 'when it must'].map((when) => [when, { ...subject, change: typeof when === 'number' ? when : null, subject: false }]),
    ...scenario.ways.filter((way) => way.open).map((way) => [way.name, { ...way, subject: false }]),
  ];
  let tried = waiting.flatMap(([what, way]) => roofs.map((roof) => ({ what, way: { ...way, name: `${what} under ${roof}`, roof } })));
  const all = () => [...scenario.ways, ...tried.map((one) => one.way)];
  const named = new Set(scenario.ways.map((way) => way.name));
  const kinds = scenario.climbs === null ? [false, true] : [false];
  const allowed = (unclimbed) => (way) => !unclimbed || !needsClimbing(scenario, way);
  if (model.draws > rules.first) {
    const means = await meansOf(model, all(), rules.first);
    const found = new Set();
    for (const unclimbed of kinds) {
      const some = all().filter(allowed(unclimbed));
      const ofAll = Math.min(...some.map((way) => means[way.name]));
      const left = tried.filter((one) => allowed(unclimbed)(one.way));
      const least = new Map();
      for (const { what, way } of left) least.set(what, Math.min(means[way.name], least.get(what) ?? Infinity));
      for (const one of left) {
        const best = least.get(one.what);
        if (means[one.way.name] - best <= rules.within * Math.abs(best)
          && (named.has(one.what) || best - ofAll <= rules.within * Math.abs(ofAll))) found.add(one);
      }
    }
    tried = tried.filter((one) => found.has(one));
  }
  const means = await meansOf(model, all(), model.draws);
  const order = byMean(means);
  const cheapest = (some) => leastBy(some, (way) => order(way.name));
  const ways = scenario.ways.map((way) => {
    const best = cheapest(tried.filter((one) => one.what === way.name).map((one) => one.way));
    if (best === null) return way;
    means[way.name] = means[best.name];
    return { ...way, roof: best.roof, title: waitingTitle(words.verdict, scenario, way, best.roof) };
  });
  const dated = tried.filter(({ what }) => typeof what === 'number' || what === 'when it must').map((one) => one.way);
  const added = new Map();
  for (const unclimbed of kinds) {
    const [date, other] = [dated, ways].map((some) => cheapest(some.filter(allowed(unclimbed))));
    if (date !== null && (other === null || means[date.name] < means[other.name] * (1 - rules.rounding))) {
      const { titles } = words.verdict;
      const when = date.change === null ? titles.when_it_must : filled(titles.in_year, { year: date.change });
      const name = `${subject.name}_${date.change === null ? 'when_it_must' : `in_year_${date.change}`}_${date.roof}`;
      const plain = { ...date, name, added: true, open: false, title: `${subject.action} ${when}` };
      added.set(name, { ...plain, title: waitingTitle(words.verdict, scenario, plain, date.roof) });
    }
  }
  return [...ways, ...added.values()];
}

/* ------------------------------------------------------------------ the verdict as numbers */

/* The ways of the set at one year of sale; `year` null: the years kept. */
class Ways {
  constructor(model, costs, year = null) {
    Object.assign(this, { model, costs, year, scenario: model.scenario, rules: model.stored.rules, weights: model.weights });
    this.stated = Object.fromEntries(this.scenario.ways.map((way) => [way.name, way]));
    this.subject = 'coat_now';
    this.base = this.scenario.ways.find((way) => way.base).name;
    this.priced = !unsure(this.scenario, 'quote');
    this.names = this.scenario.ways.map((way) => way.name).filter((name) => this.counts(name));
    this.means = Object.fromEntries(this.scenario.ways.map(({ name }) => [name, dot(this.weights, this.cost(name))]));
    let squares = 0;
    for (const weight of this.weights) squares += weight * weight;
    this.effective = 1 / squares;
  }

  counts(name) {
    const { change, keeps } = this.stated[name];
    if (change === null) return keeps || this.priced;
    const sold = this.year === null ? this.model.resolved.terms.holding : this.year;
    return this.priced && (change === 0 || change < sold);
  }

  cost(name) {
    return this.year === null ? this.costs[name].cost : this.costs[name].byYear[this.year];
  }

  places(climbing = true) {
    const order = ({ way }) => byMean(this.means)(way);
    if (!climbing) return sortedBy(this.places().map((place) => this.unclimbed(place)).filter((one) => one), order);
    const groups = new Map();
    for (const name of this.names) {
      const way = this.stated[name];
      const key = way.change === null ? `worn out ${way.roof}` : ` ${name}`;
      groups.set(key, [...(groups.get(key) ?? []), name]);
    }
    return sortedBy([...groups.values()].map((group) => {
      const [first, ...more] = sortedBy(group, byMean(this.means));
      const follows = more.some((name) => this.means[name] - this.means[first] >= this.rules.alike_share * Math.abs(this.means[first]));
      return { way: first, ways: [...group].sort(), follows, mean: this.means[first] };
    }), order);
  }

  unclimbed(place) {
    const ways = place.ways.filter((name) => !needsClimbing(this.scenario, this.stated[name]));
    if (!ways.length) return null;
    const first = leastBy(ways, byMean(this.means));
    return { way: first, ways, follows: place.follows && ways.length > 1, mean: this.means[first] };
  }

  lead(climbing = true) {
    const [first, ...more] = this.places(climbing);
    if (!first) return null;
    const level = more.filter((place) => this.level(first, place));
    return { place: first, level, climbing, named: new Set([first, ...level].flatMap((place) => place.ways)) };
  }

  level(lead, place) {
    if (place.mean - lead.mean < this.rules.level_share * Math.abs(lead.mean)) return true;
    return of20(this.chance(lead.way, place.way)) < this.rules.level_of_20;
  }

  chance(name, than) {
    return chanceCheaper(this.cost(name), this.cost(than), this.weights, this.rules.same_within);
  }

  gap(name, than) {
    const chance = this.chance(name, than);
    return { way: name, than, ...bandOf(minus(this.cost(than), this.cost(name)), this.weights), chance, of20: of20(chance) };
  }

  bestKeeping(lead) {
    const found = this.places(lead.climbing);
    const places = found.length ? found : this.places();
    return places.map((place) => place.way)
      .find((name) => this.stated[name].change === null && name !== this.subject) ?? null;
  }

  by(lead) {
    if (lead.place.ways.includes(this.subject)) {
      const other = this.bestKeeping(lead) ?? this.names.find((one) => one !== this.subject) ?? null;
      return other === null ? null : this.gap(this.subject, other);
    }
    return this.names.includes(this.subject) ? this.gap(lead.place.way, this.subject) : null;
  }

  error(chance) {
    return Math.sqrt(Math.max(0, chance * (1 - chance)) / this.effective);
  }

  /* Counts that the draws cannot tell. */
  borders(lead) {
    const { errors, limits, level_of_20: least, level_share: share } = this.rules;
    const pair = [this.subject, this.base];
    const near = limits.map((limit) => [pair, this.chance(...pair), limit]);
    const leads = [this.lead(), ...(this.scenario.climbs === null ? [this.lead(false)] : [])];
    for (const one of leads.filter((found) => found)) {
      for (const place of this.places()) {
        if (place.mean - one.place.mean >= share * Math.abs(one.place.mean)) {
          const two = [one.place.way, place.way];
          near.push([two, this.chance(...two), (least - 0.5) / 20]);
        }
      }
    }
    const found = near.filter(([, chance, limit]) => Math.abs(chance - limit) < errors * this.error(chance))
      .map(([two, , limit]) => ({ what: two === pair ? 'of_20' : `level_with ${two[1]}`, low: of20(limit) - 1, high: of20(limit) }));
    const second = this.places(lead.climbing).find((place) => !lead.place.ways.includes(place.way));
    if (second) {
      const apart = minus(this.cost(second.way), this.cost(lead.place.way));
      const mean = dot(this.weights, apart);
      const spread = Math.sqrt(dot(this.weights, apart.map((one) => (one - mean) ** 2)) / this.effective);
      if (mean < Math.max(errors * spread, this.rules.rounding * Math.abs(lead.place.mean))) found.push({ what: 'leads' });
    }
    return found;
  }

  /* The highest price worth paying today, against both. */
  prices(lead) {
    const quote = this.model.resolved.ways.find((way) => way.subject).quote;
    const against = [this.bestKeeping(lead), ...(unsure(this.scenario, 'otherwise') ? [] : [this.base])];
    return [...new Set(against)].filter((than) => than !== null && than !== this.subject).map((than) => {
      const saved = minus(this.cost(than), this.cost(this.subject));
      return { than, ...bandOf(saved.map((one, draw) => one + (typeof quote === 'number' ? quote : quote[draw])), this.weights) };
    });
  }
}

/* Years of sale that a verdict names besides the years kept. */
function yearsSaid(scenario, rules, kept) {
  const wanted = unsure(scenario, 'keep') ? rules.unsure_years
    : [kept === rules.else_sold ? rules.else_if_same : rules.else_sold];
  return wanted.filter((year) => year <= scenario.studyPeriod && year !== kept);
}

/* The last year of sale that a verdict looks at. */
function lastYear(scenario, rules) {
  const { likely, high } = scenario.figures['owner.holding_period'];
  return Math.max(Math.ceil(likely), Math.min(Math.ceil(high), scenario.studyPeriod), ...yearsSaid(scenario, rules, likely), 1);
}

function judge(model, costs) {
  const { scenario, stored: { rules } } = model;
  const ways = new Ways(model, costs);
  const lead = ways.lead();
  const unclimbed = ways.lead(false);
  if (lead === null) return null;
  const acting = scenario.climbs !== null || unclimbed === null ? lead : unclimbed;
  const years = model.resolved.terms.holding;
  const last = costs[ways.subject].byYear.length - 1;
  const said = yearsSaid(scenario, rules, scenario.figures['owner.holding_period'].likely).filter((year) => year <= last);
  const at = new Map(said.map((year) => [year, new Ways(model, costs, year)]));
  const byYear = new Map();
  for (const [year, there] of at) {
    const led = there.lead(acting === lead);
    if (led !== null) byYear.set(year, { lead: led, by: there.by(led) });
  }
  const pair = ways.gap(ways.subject, ways.base);
  const oneByOne = new Map();
  if (unsure(scenario, 'otherwise')) {
    const rows = new Map([[years, ways], ...at].sort(([one], [other]) => one - other));
    for (const way of scenario.ways.filter((one) => one.keeps && ways.names.includes(one.name))) {
      oneByOne.set(way.name, new Map([...rows].map(([year, there]) => [year, there.gap(ways.subject, way.name)])));
    }
  }
  return {
    ways, scenario, lead, acting, years, pair, byYear, oneByOne,
    unclimbed: unclimbed?.place ?? null,
    subject: ways.subject,
    against: ways.base,
    priced: ways.priced,
    by: ways.by(acting),
    word: wordOf(rules, pair.chance),
    ifSold: new Map([...byYear.keys()].map((year) => [year, at.get(year).chance(ways.subject, ways.base)])),
    prices: ways.prices(acting),
    borders: ways.borders(acting),
  };
}

function wordOf(rules, chance) {
  return rules.words.find(([least]) => of20(chance) >= least)?.[1] ?? rules.dearer;
}

/* ------------------------------------------------------------------ the table of 20s */

/* In how many of 20 futures the change is cheaper, by what would be done otherwise and year of sale. */
async function twenties(model, judged, costs) {
  const { stored, scenario, kernel } = model;
  const { standing } = scenario;
  const of = stored.standing[standing];
  const plans = stored.offers.shipped;
  const coating = scenario.roofs.coating;
  const roofs = { [standing]: scenario.roofs[standing] };
  const base = scenario.ways.find((way) => way.base);
  const spraying = scenario.ways.find((way) => way.subject);
  const ways = plans.flatMap((plan) => {
    const [kept, changed] = [`keep under ${plan}`, `change under ${plan}`];
    roofs[kept] = { ...scenario.roofs[standing], visits: of.visits[plan], plan };
    roofs[changed] = { ...coating, visits: of.coating_visits[plan], plan };
    return [{ ...base, name: kept, roof: kept, then: kept, base: false },
      { ...spraying, name: changed, roof: kept, then: changed }];
  });
  const laid = withUsedFigures({ ...scenario, figures: scenario.allFigures, roofs, ways, existing: { ...scenario.existing, lastVisits: {} } }, stored);
  const { values } = drawn(stored, laid.figures, new Set(Object.keys(scenario.figures)));
  const resolved = resolve(stored, laid, values);
  const weights = historyWeights(kernel, stored.kernel, resolved, model.draws);
  const last = scenario.studyPeriod;
  const within = stored.rules.table_years.filter((year) => year <= last);
  const years = within.length ? within : [last];
  const table = { ...model, scenario: laid, resolved: { ...resolved, terms: { ...resolved.terms, holding: years[years.length - 1] } } };
  const found = await costsOf(table, laid.ways, years[years.length - 1], model.draws);
  const rows = plans.map((plan) => {
    const [kept, changed] = [found[`keep under ${plan}`], found[`change under ${plan}`]];
    const own = scenario.roofs[standing].plan === plan;
    return { plan, title: stored.plans[plan].title, own, counts: years.map((year) => {
      const own20 = own && year < costs[judged.subject].byYear.length;
      const [one, other, by] = own20
        ? [costs[judged.subject].byYear[year], costs[judged.against].byYear[year], model.weights]
        : [changed.byYear[year], kept.byYear[year], weights];
      return of20(chanceCheaper(one, other, by, stored.rules.same_within));
    }) };
  });
  return { years, rows };
}
