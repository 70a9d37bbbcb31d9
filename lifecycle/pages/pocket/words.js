/* The verdict in words: `language.verdict` once more, from the same sentences. */

const filled = (template, gaps = {}) => template.replace(/\{(\w+)\}/g, (_, name) => String(gaps[name]));

const STROKE = '- '; // how a line begins that is an item of a list

const grouped = (number) => String(number).replace(/\B(?=(\d{3})+$)/g, ',');

/* An amount without sign, with two significant digits. */
function rounded(amount) {
  const size = Math.abs(amount);
  const step = size >= 1 ? 10 ** Math.max(0, Math.floor(Math.log10(size)) - 1) : 1;
  return grouped(Math.floor(Math.floor(size / step + 0.5) * step));
}

const counted = (number, word) => `${grouped(number)} ${word}${number === 1 ? '' : 's'}`;

/* A time in years and months. */
function yearsText(years) {
  const all = roundEven(12 * years);
  const [whole, months] = [Math.floor(all / 12), all % 12];
  const parts = whole ? [counted(whole, 'year')] : [];
  if (months || !whole) parts.push(counted(months, 'month'));
  return parts.join(' ');
}

/* On which side the ends of a gap lie, and the ends as amounts, the smaller first. */
function endsOf({ low, high }) {
  if (low < 0 && high > 0) return ['both', low, high];
  return [high > 0 ? 'range' : 'more', ...[Math.abs(low), Math.abs(high)].sort((one, other) => one - other)];
}

const listed = (labels, things) => (things.length > 1
  ? [things.slice(0, -1).join(', '), things[things.length - 1]].join(labels.and) : things.join(''));

/* A number with so many significant digits and no needless ones. */
function numberText(value, digits) {
  if (value === Math.round(value)) return grouped(value);
  const size = Math.abs(value);
  if (size >= 10 ** digits) return grouped(Math.round(value));
  const exponent = Number(value.toExponential(digits - 1).split('e')[1]);
  if (exponent < -4) return value.toExponential(digits - 1);
  const [whole, part] = value.toPrecision(digits).split('.');
  const rest = (part ?? '').replace(/0+$/, '');
  return grouped(Number(whole)) + (rest ? `.${rest}` : '');
}

/* The lines of one verdict. */
class Said {
  constructor(stored, judged) {
    Object.assign(this, { stored, judged, scenario: judged.scenario, words: stored.words.verdict, counts: stored.words.counts,
      labels: stored.words.labels });
    this.spraying = this.said(judged.subject, 'doing');
    this.otherwise = this.said(judged.against, 'as');
  }

  many(number) {
    return number === 0 ? this.counts.under : number === 20 ? this.counts.over : filled(this.counts.of_20, { number });
  }

  way(name) {
    return this.judged.ways.stated[name];
  }

  done(order) {
    const [first, ...rest] = order.split(' ');
    const done = this.words.things_done[capital(first)];
    return done ? [done, ...rest].join(' ') : `"${order}"`;
  }

  when(way, form) {
    const change = inner(way.action);
    return form === 'doing' ? this.done(change) : change;
  }

  /* A way as "do", "doing" or "as". */
  said(name, form, { follows = false, inAList = false } = {}) {
    const way = this.way(name);
    const { ways } = this.words;
    if (way.change === 0) return filled(ways.now, { change: this.when(way, form === 'as' ? 'doing' : form) });
    const upkeep = () => this.stored.plans[this.scenario.roofs[way.roof].plan][form];
    if (way.change === null) {
      if (!follows) return upkeep();
      const then = way.keeps ? filled(ways.anew, { covering: this.scenario.roofs[this.scenario.standing].covering })
        : inner(this.way(this.judged.subject).action);
      if (form === 'as') return upkeep() + filled(ways.worn_out_as, { change: this.done(then) });
      return upkeep() + filled(inAList ? ways.worn_out_in_a_list : ways.worn_out, { change: then });
    }
    if (form === 'as') return `${this.when(way, 'doing')} ${filled(this.words.titles.in_year, { year: way.change })}`;
    return filled(ways.in_year, { upkeep: upkeep(), change: this.when(way, form), year: way.change });
  }

  place(place, form, inAList = false) {
    const follows = place.follows || (place.ways.length === 1 && !this.way(place.way).keeps);
    return this.said(place.way, form, { follows, inAList });
  }

  asWay(name, form) {
    const place = [this.judged.lead.place, this.judged.acting.place].find((one) => one.way === name);
    return place ? this.place(place, form) : this.said(name, form);
  }

  /* Lines 1 to 3. */
  * lines() {
    const { judged } = this;
    if (!judged.priced) {
      yield this.whatToDo();
      yield this.prices(this.words.highest_price.no_quote);
      if (unsure(this.scenario, 'otherwise')) yield* this.oneByOne();
      return;
    }
    if (unsure(this.scenario, 'keep') && judged.byYear.size) yield* this.byYears();
    else {
      yield this.whatToDo();
      if (judged.by !== null) {
        const warning = this.fewDraws();
        yield [this.howMuch(judged.by, judged.years, this.samePair(judged.by)), ...(warning ? [warning] : [])].join(' ');
      }
    }
    if (unsure(this.scenario, 'otherwise')) yield* this.oneByOne();
    else if (this.third()) {
      let line = this.againstOtherwise();
      if (unsure(this.scenario, 'keep')) {
        line = filled(this.words.how_much.in_years, { years: yearsText(judged.years), what: inner(line) });
      }
      yield [line, ...this.ifSold('if_sold')].join(' ');
    }
  }

  /* Line 4. */
  * hangs({ offer, turn, call }) {
    const said = this.words.hangs;
    const sentences = [];
    if (offer !== null) sentences.push(this.offer(offer));
    if (turn !== null) {
      const condition = filled(this.ofFigure(turn, turn.below ? 'below' : 'above'), { value: this.value(turn) });
      sentences.push(filled(said.turn, { condition, do: this.place(turn.place, 'do') }));
    }
    if (!sentences.length && call === null) sentences.push(said.none);
    if (sentences.length) yield capital(sentences.join(' '));
  }

  offer({ name, turned, lead, pair }) {
    const said = this.words.hangs;
    if (turned) return filled(said.offer_turns, { name: said.names[name], do: inner(this.lineOne(lead)) });
    const word = this.words.otherwise.words[wordOf(this.stored.rules, pair.chance)];
    return filled(said.offer_word, { name: said.names[name], spraying: this.spraying, word, k: this.many(pair.of20) });
  }

  /* What is said of a figure, its gaps filled but for the value. */
  ofFigure({ path }, which) {
    return this.stored.standing[this.scenario.standing].said[path][which];
  }

  /* The value at which a figure turns the answer, with two digits. */
  value({ path, value }) {
    const { percent, years, factor, offset, rate, unit, one } = this.stored.figures[path].shown;
    if (percent) {
      const whole = roundEven(100 * value);
      return whole ? `${whole} %` : this.stored.words.under_1_percent;
    }
    const short = years ? roundEven(value) : Number(value.toPrecision(2));
    if (rate) return filled(this.labels.percent, { number: numberText(100 * short, 3) }) + unit;
    const number = numberText(short * factor + offset, 3);
    return number + (number === '1' ? one : unit);
  }

  /* Line 5. */
  nextStep({ call }, hidden) {
    const said = this.words.next;
    const { judged } = this;
    let asked = ['trouble', 'otherwise'].find((key) => unsure(this.scenario, key)) ?? null;
    if (asked === null && unsure(this.scenario, 'keep') && this.hangsOnYears()) asked = 'keep';
    if (!judged.priced) asked ??= 'quote';
    if (asked !== null) return said[asked];
    if (hidden >= this.stored.rules.hidden_named) return filled(said.moisture, { k: this.many(of20(hidden)) });
    if (call === null) return said.decide;
    return capital(filled(said.ask, { ask: this.ofFigure(call, 'ask'), side: capital(call.below ? said.below : said.above),
      value: this.value(call), do: this.place(call.place, 'do', true), money: this.money(call.worth) }));
  }

  hangsOnYears() {
    return [...this.judged.byYear.values()].some(({ lead }) => !lead.place.ways.includes(this.judged.acting.place.way));
  }

  fewDraws() {
    const { effective } = this.judged.ways;
    const draws = this.judged.ways.weights.length;
    if (effective >= Math.min(this.stored.rules.few, 0.5 * draws)) return null;
    return filled(this.words.beside.few_draws, { draws: grouped(draws), effective: effective.toFixed(0) });
  }

  samePair(gap) {
    const two = [this.judged.subject, this.judged.against];
    return gap !== null && two.includes(gap.way) && two.includes(gap.than);
  }

  /* So many of 20 for the spraying against otherwise, where the lines say so; else null. */
  counted() {
    const { judged } = this;
    const told = judged.priced && !unsure(this.scenario, 'otherwise') && (this.third() || this.samePair(judged.by));
    return told && !this.border() ? judged.pair.of20 : null;
  }

  third() {
    return !this.samePair(this.judged.by) && !this.judged.acting.place.ways.includes(this.judged.against);
  }

  whatToDo() {
    const { lead, acting, priced } = this.judged;
    const orders = this.words.what_to_do;
    let first = this.lineOne(acting);
    if (!priced) first = filled(orders.no_quote, { what: inner(first) });
    if (acting === lead || lead.place.way === acting.place.way) return first;
    const climbing = this.place(lead.place, 'do', true);
    return `${filled(orders.if_you_climb, { without: first.replace(/\.+$/, ''), with: climbing }).replace(/\.+$/, '')}.`;
  }

  lineOne(lead) {
    const orders = this.words.what_to_do;
    const { subject } = this.judged;
    const { named } = this.stored.rules;
    const places = [lead.place, ...lead.level];
    if (lead.level.length && lead.named.has(subject)) {
      const others = places.filter((place) => !place.ways.includes(subject));
      const ways = others.slice(0, named).map((place) => this.place(place, 'doing', true));
      return capital(filled(orders.no_matter, { ways: this.joined(ways, others, ', '), last: this.spraying }));
    }
    if (lead.level.length) {
      const ways = places.slice(0, named).map((place) => this.place(place, 'do', true));
      return filled(orders.not_now, { spray: this.said(subject, 'do'), ways: this.joined(ways, places, orders.or) });
    }
    const way = this.way(lead.place.way);
    const done = this.place(lead.place, 'do');
    const kind = way.change === null ? 'keep' : way.change === 0 ? 'now' : 'wait';
    return capital(filled(orders[kind], { covering: this.scenario.roofs[this.scenario.standing].covering, do: done }));
  }

  joined(ways, places, join) {
    const more = places.length - ways.length;
    const all = more ? [...ways, filled(this.words.what_to_do.more, { number: more })] : ways;
    return all.length > 1 ? all.slice(0, -1).join(', ') + join + all[all.length - 1] : all[0];
  }

  money(amount) {
    return `${rounded(amount)} ${this.stored.made.currency}`;
  }

  about(amount) {
    return filled(this.labels.about, { money: this.money(amount) });
  }

  howMuch(gap, years, word) {
    const said = this.words.how_much;
    const kind = Math.abs(gap.mean) < 0.5 ? 'same' : gap.mean > 0 ? 'less' : 'more';
    const first = filled(said[`on_average_${kind}`], { money: this.money(gap.mean), other: this.other(gap.than), years: yearsText(years) });
    const sentences = [first, this.range(gap), this.of20(gap)];
    if (word) sentences.push(capital(filled(this.words.otherwise.same_pair, { spraying: this.spraying, word: this.word() })));
    return sentences.join(' ');
  }

  other(name) {
    const [way, against] = [this.way(name), this.way(this.judged.against)];
    const twin = name !== this.judged.against && !way.change && way.roof === against.roof;
    return this.said(name, 'doing', { follows: twin && way.change === null && against.change === null, inAList: true });
  }

  range(gap) {
    const said = this.words.how_much;
    const [kind, low, high] = endsOf(gap);
    return filled(said[kind === 'range' ? kind : `range_${kind}`], { low: rounded(low), high: this.money(high) });
  }

  of20(gap) {
    const said = this.words.how_much;
    const border = this.border();
    if (border && gap.way === this.judged.subject && gap.than === this.judged.against) return filled(said.of_20_border, border);
    if (gap.of20 === 0) return said.of_20_none;
    return gap.of20 === 20 ? said.of_20_all : filled(said.of_20, { k: gap.of20, rest: 20 - gap.of20 });
  }

  border() {
    return this.judged.borders.find((border) => border.what === 'of_20') ?? null;
  }

  word() {
    const border = this.border();
    const { words } = this.words.otherwise;
    if (!border) return words[this.judged.word];
    const [low, high] = [border.low, border.high].map((number) => wordOf(this.stored.rules, number / 20));
    return filled(words.border, { low, high });
  }

  difference(amount) {
    const said = this.labels.difference;
    if (Math.abs(amount) < 0.5) return said.none;
    return filled(amount > 0 ? said.cheaper : said.dearer, { money: this.about(amount) });
  }

  againstOtherwise() {
    const said = this.words.otherwise;
    const { pair: gap, word } = this.judged;
    const agrees = !this.border() && word.endsWith(gap.mean > 0 ? 'cheaper' : 'dearer');
    const difference = agrees ? this.about(gap.mean) : this.difference(gap.mean);
    return filled(agrees ? said.line : said.line_open, {
      word: this.word(), of_20: this.of20(gap), difference, otherwise: this.otherwise, spraying: this.spraying });
  }

  ifSold(key) {
    return [...this.judged.ifSold].map(([year, chance]) => filled(this.words.otherwise[key],
      { years: yearsText(year), k: this.many(of20(chance)), spraying: this.spraying }));
  }

  * byYears() {
    const { judged } = this;
    const said = this.words.how_much;
    const at = new Map([[judged.years, { lead: judged.acting, by: judged.by }], ...judged.byYear]);
    for (const year of [...at.keys()].sort((one, other) => one - other)) {
      const { lead, by } = at.get(year);
      const what = filled(said.by_years, { years: yearsText(year), what: inner(this.lineOne(lead)) });
      yield by === null ? what : this.muchLess(what, by);
    }
    if (judged.acting !== judged.lead && judged.acting.place.way !== judged.lead.place.way) {
      yield filled(this.words.what_to_do.climbing_too, { with: this.place(judged.lead.place, 'do', true) });
    }
  }

  muchLess(what, gap) {
    const said = this.words.how_much;
    const [kind, low, high] = endsOf(gap);
    const range = filled(said[`by_year_${kind}`], { low: rounded(low), high: rounded(high) });
    return filled(gap.mean < 0 ? said.by_year_dearer : said.by_year, { what, money: this.money(gap.mean), range, k: this.many(gap.of20), other: this.other(gap.than) });
  }

  * oneByOne() {
    const said = this.words.otherwise;
    const table = this.judged.oneByOne;
    const years = [...table.values().next().value.keys()];
    yield `${filled(said.not_sure, { spraying: capital(this.spraying), years: years.map(yearsText).join(' / ') })}:`;
    for (const [name, row] of table) {
      yield STROKE + filled(said.not_sure_row, { as: this.said(name, 'as'), numbers: [...row.values()].map((gap) => gap.of20).join(' / ') });
    }
    yield said.not_sure_ends;
  }

  prices(template) {
    const said = this.words.highest_price;
    let [first, second] = ['', ''];
    for (const price of this.judged.prices) {
      const money = this.amount(price);
      const both = price.than === this.judged.against;
      if (both && first) second = filled(said.against_otherwise, { money });
      else first = filled(both ? said.against_both : said.against_best, { money, as: this.asWay(price.than, 'as') });
    }
    return filled(template, { spraying: this.spraying, first, second });
  }

  amount(price) {
    const said = this.words.highest_price;
    if (price.mean <= 0) return said.none;
    const low = price.low > 0 ? rounded(price.low) : said.nothing;
    return filled(said.with_range, { money: this.money(price.mean), low, high: rounded(price.high) });
  }

  price() {
    return this.judged.priced && this.judged.prices.length ? this.prices(this.words.highest_price.line) : '';
  }

  /* What stands beside the lines; `expected` is what each way brings at likely values. */
  * beside(expected) {
    const { judged } = this;
    const said = this.words.beside;
    yield* this.climbing(expected);
    const price = this.price();
    if (price) yield price;
    if (!this.third() && !unsure(this.scenario, 'otherwise')) yield* this.ifSold('if_sold_elsewhere').map(capital);
    if (judged.borders.some((border) => border.what === 'leads')) yield said.leads_border;
    if (judged.acting.level.length && judged.acting.named.has(judged.subject)) {
      yield* this.undecided(expected, judged.subject, judged.acting.place.way);
    }
    if (!isRanged(this.scenario.figures['owner.holding_period'])) {
      yield filled(this.stored.words.cautions.years_certain, { years: yearsText(judged.years) });
    }
  }

  * climbing(expected) {
    const { judged } = this;
    const said = this.words.beside;
    const { way } = judged.lead.place;
    if (!needsClimbing(this.scenario, this.way(way))) return;
    const hours = expected[way].expected.owners_hours;
    yield filled(judged.acting.place.way === way ? said.hours : said.hours_if, { hours: roundEven(hours), years: yearsText(judged.years) });
    if (judged.unclimbed === null) yield said.nobody_else;
    else if (judged.acting === judged.lead) {
      const more = judged.unclimbed.mean - judged.lead.place.mean;
      yield filled(said.rather_not, { do: this.place(judged.unclimbed, 'do'), money: this.money(more) });
    }
  }

  * undecided(expected, one, other) {
    if (one === other) return;
    const said = this.stored.words.cautions.undecided;
    const [way, than] = [expected[one], expected[other]];
    const year = Math.max(1, Math.trunc(this.judged.years + 1e-9));
    const what = [['hours', 'owners_hours'], ['days', 'days_out_of_use'], ['leaks', 'leaks']].map(([name, line]) =>
      [said[name], ...[way, than].map((some) => numberText(some.expected[line], 2))]).filter(([, a, b]) => a !== b)
      .map(([name, a, b]) => `${name} ${filled(said.pair, { one: a, other: b })}`);
    yield filled(said.differing, { years: yearsText(this.judged.years), way: this.way(one).title, than: this.way(other).title,
      what: what.join('; ') || said.nothing });
    const [a, b] = [way, than].map((some) => of20(some.renewed[year][0]) || this.counts.under);
    yield filled(said.luck, { year, chances: filled(said.pair, { one: a, other: b }) });
  }
}

/* The answer to trouble: nothing is compared. */
function openItFirst(stored, trouble) {
  const words = stored.words.verdict;
  return [filled(words.what_to_do.open_first, { trouble: listed(stored.words.labels, trouble) }), words.open.nothing_compared, words.open.wet, words.next.open];
}

/* What to do about trouble that nobody has opened yet. */
function pathLines(stored, trouble) {
  const words = stored.words.trouble;
  const opened = trouble.map((sign) => filled(words.open, { sign: capital(sign), what: words.what[sign] }));
  return [words.stay_off, ...opened, words.call, words.insurer, words.keep];
}

/* Everything that the page says to some answers. */
async function answerOf(kernel, stored, answers, pause = async () => {}) {
  const { draws } = stored.made;
  const scenario = scenarioOf(stored, answers);
  if (Array.isArray(answers.trouble) && answers.trouble.length) {
    return { trouble: true, lines: openItFirst(stored, answers.trouble), beside: pathLines(stored, answers.trouble), price: '' };
  }
  const { values, scores } = drawn(stored, scenario.figures);
  const resolved = resolve(stored, scenario, values);
  const weights = historyWeights(kernel, stored.kernel, resolved, draws);
  const model = { kernel, stored, scenario, values, scores, resolved, weights, draws, pause };
  const completed = { ...scenario, ways: await oneSet(model) };
  const whole = { ...model, scenario: completed };
  const costs = await costsOf(whole, completed.ways, lastYear(completed, stored.rules), draws);
  const judged = judge(whole, costs);
  const said = new Said(stored, judged);
  const likely = resolve(stored, completed, {});
  const wanted = completed.ways.filter((way) => [judged.lead.place.way, judged.acting.place.way, judged.subject].includes(way.name));
  const expected = evaluate(kernel, stored.kernel, caseOf(likely, wanted, completed.studyPeriod), 1, true);
  const beside = [...said.beside(expected)];
  return {
    trouble: false,
    lines: [...said.lines()],
    beside,
    price: said.price(),
    counted: said.counted(),
    judged,
    rest: async () => {
      const hangs = new Hangs(whole, judged);
      const found = { offer: await hangs.offer(), turn: hangs.turn(false), call: hangs.turn(true) };
      return [...said.hangs(found), said.nextStep(found, hiddenToday(likely))];
    },
    twenties: async () => ({ change: said.said(judged.subject, 'do'), ...await twenties(whole, judged, costs) }),
  };
}
