/* From answers to what the model computes on: `interview.writing` and `scenario.resolving` once more.

Numbers are as the page carries them: a number, or the path of a figure and the paths that multiply it. A
resolved number is one number, or a Float64Array with one value for each draw.
*/

const NOT_SURE = 'not sure';
const FOOT = 0.3048;
const FREEZING = 273.15;
const GAS_CONSTANT = 8.31446261815324e-3;
const SECONDS_A_YEAR = 365.25 * 86400;

const isNumber = (value) => typeof value === 'number' && Number.isFinite(value);
const likelyOf = (value) => (typeof value === 'object' ? value.likely : value);

/* Round a half to the even neighbour, as Python does. */
function roundEven(value) {
  const below = Math.floor(value);
  const rest = value - below;
  if (rest !== 0.5) return Math.round(value);
  return below % 2 === 0 ? below : below + 1;
}

/* Work on numbers, or draw by draw where one of them is an array. */
function each(work, ...values) {
  const size = values.find((value) => typeof value !== 'number')?.length;
  if (size === undefined) return work(...values);
  return Float64Array.from({ length: size }, (_, draw) =>
    work(...values.map((value) => (typeof value === 'number' ? value : value[draw]))));
}

const times = (...values) => each((...some) => some.reduce((product, one) => product * one), ...values);

/* ------------------------------------------------------------------ the ways that fit the answers */

/* What the owner would do otherwise, or what stands for it. */
function basePlan(stored, known) {
  const { offers, plans } = stored;
  const base = known.otherwise === NOT_SURE ? offers.when_not_sure : known.otherwise;
  if (known.climbs !== false || !plans[base].own) return base;
  return offers.shipped.find((plan) => !plans[plan].own);
}

/* The plan that is written: a shop's, where the owner does not go up. */
function planOf(stored, known, plan) {
  return (known.climbs === false && stored.offers.by_shop[plan]) || plan;
}

function capital(text) {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}

/* A title as it stands within a sentence. */
function inner(title) {
  const word = title.split(' ', 1)[0];
  const keep = word === 'I' || word.slice(1) !== word.slice(1).toLowerCase();
  return keep ? title : title.slice(0, 1).toLowerCase() + title.slice(1);
}

const titleOf = (stored, known, plan) => capital(stored.plans[planOf(stored, known, plan)].title);

/* Further ways of keeping the roof that fit the answers and stand ready. */
function offered(stored, known) {
  const { offers, plans } = stored;
  const base = basePlan(stored, known);
  const unsure = known.otherwise === NOT_SURE;
  const listed = unsure
    ? [...offers.shipped.map((plan) => ({ plan })),
      ...offers.ways.filter((way) => !offers.shipped.includes(way.plan))]
    : offers.ways;
  const years = known.keep === NOT_SURE ? Infinity : likelyOf(known.keep);
  const fits = (way) => known.roof_age >= (way.roof_age_from ?? 0) && years <= (way.keep_to ?? Infinity)
    && (known.climbs !== false || !plans[way.plan]?.own);
  const most = unsure ? offers.shipped.length - 1 : offers.rows - 4;
  return listed.filter((way) => way.plan !== base && fits(way)).map((way, place) =>
    ({ ...way, ready: place < most }));
}

/* ------------------------------------------------------------------ the scenario */

function lengthOf(known) {
  if (isNumber(known.length)) return known.length;
  return known.quoted_by === 'overall' && isNumber(known.quoted_length) ? known.quoted_length : null;
}

const TOLD = [
  ['keep', 'owner.holding_period', 'judgement'],
  ['hour_value', 'owner.hour_value', 'judgement'],
  ['reseal_price', 'figures.shop_reseal_cost', 'offer'],
  ['quote', 'figures.coating_quote', 'offer'],
];

/* A figure that the owner told, in place of the tool's own. */
function told(stored, path, value, basis) {
  const ends = typeof value === 'object' ? value : { low: value, likely: value, high: value };
  return { ...stored.figures[path], ...ends, basis };
}

/* The shared price of a new roof, scaled to tens. */
function scaled(stored, roof, scale) {
  const price = stored.offers.renew_cost[roof];
  const ends = {};
  for (const end of ['low', 'likely', 'high']) ends[end] = 10 * roundEven((price[end] * scale) / 10);
  return ends;
}

/* The figures of a scenario by path, and what it states; only figures that are in use. */
function scenarioOf(stored, answers) {
  const keys = stored.questions.flatMap((question) => question.parts.map((part) => part.key));
  const known = { ...Object.fromEntries(keys.map((key) => [key, NOT_SURE])), ...answers };
  const standing = known.covering === 'fibreglass' ? 'fibreglass' : 'membrane';
  const of = stored.standing[standing];
  const base = planOf(stored, known, basePlan(stored, known));
  const feet = lengthOf(known);
  const figures = { ...stored.figures };
  for (const [key, path, basis] of TOLD) {
    if (known[key] !== NOT_SURE) figures[path] = told(stored, path, known[key], basis);
  }
  const { reference_length: reference, sprayed_share: share } = stored.offers;
  const sprayed = known.quoted_by === 'sprayed' ? known.quoted_length : NOT_SURE;
  const scale = feet === null ? null : feet / reference;
  const sprayedScale = isNumber(sprayed) ? sprayed / (share * reference) : scale;
  for (const [roof, by] of [[standing, scale], ['coating', sprayedScale]]) {
    const path = of[roof === 'coating' ? 'coating' : 'roof'].renew_cost[0];
    figures[path] = { ...stored.figures[path], ...(by === null ? stored.offers.renew_cost[roof] : scaled(stored, roof, by)) };
  }
  const roofs = {
    [standing]: { covering: standing, numbers: of.roof, visits: of.visits[base], plan: base },
    coating: { covering: 'coating', numbers: { ...of.coating, ...warrantyOf(of, known) }, visits: of.coating_visits[base], plan: null },
  };
  const ways = waysOf(stored, known, standing, roofs, of, base);
  const offers = offered(stored, known);
  const seal = isNumber(known.seal_age) ? Math.trunc(known.seal_age) : known.roof_age;
  return withUsedFigures({
    known,
    answers,
    standing,
    figures,
    roofs,
    ways,
    climbs: typeof known.climbs === 'boolean' ? known.climbs : null,
    existing: {
      roof: standing,
      age: known.roof_age,
      sealAge: seal,
      inspected: Array.isArray(known.trouble) ? ['figures.look_finds'] : 0,
      lastVisits: Object.assign({}, ...offers.map((way) => way.due_today ?? {})),
    },
    site: siteOf(stored, known, feet),
    studyPeriod: studyPeriod(stored, known),
  }, stored);
}

function studyPeriod(stored, known) {
  const shared = stored.figures[stored.study.study_period[0]].likely;
  const longest = typeof known.keep === 'object' ? known.keep.high : known.keep;
  return isNumber(longest) && longest > shared ? Math.ceil(longest) : shared;
}

function warrantyOf(of, known) {
  if (!isNumber(known.warranty_years) || known.warranty_years <= 0) return {};
  const honoured = of.honoured[String(known.warranty_in_writing === true)];
  return { warranty_years: known.warranty_years, warranty_share: 1, warranty_honoured: honoured,
    warranty_leaking_ends: of.leaking_ends };
}

function waysOf(stored, known, standing, roofs, of, base) {
  const { renew_cost: renewal, renew_days: days } = of.roof;
  const { written } = stored.words;
  const keeping = { then: null, change: null, quote: renewal, days, keeps: true };
  const ways = [{ ...keeping, name: 'keep', title: capital(stored.plans[base].title), roof: standing, base: true }];
  for (const way of offered(stored, known).filter((one) => one.ready)) {
    if (way.plan) {
      const roof = `${standing}_${way.plan}`;
      const plan = planOf(stored, known, way.plan);
      roofs[roof] = { covering: standing, numbers: of.roof, visits: of.visits[plan], plan };
      ways.push({ ...keeping, name: `keep_${way.plan}`, title: titleOf(stored, known, way.plan), roof });
    } else {
      const title = filled(way.title, { roof: written.roofs[standing] });
      ways.push({ ...keeping, name: way.way, title, action: filled(way.action, { roof: written.roofs[standing] }), roof: standing, then: standing, change: 0, keeps: false });
    }
  }
  const keep = known.keep === NOT_SURE ? stored.figures['owner.holding_period'].likely : likelyOf(known.keep);
  const year = Math.max(1, roundEven(keep / 2));
  const spraying = {
    action: written.titles.action,
    roof: standing,
    then: 'coating',
    keeps: false,
    quote: known.quote === NOT_SURE ? of.coating.renew_cost : ['figures.coating_quote'],
    days: of.coating.renew_days,
  };
  ways.push(
    { ...spraying, name: 'coat_now', title: written.titles.now, change: 0, subject: true },
    { ...spraying, name: `coat_in_year_${year}`, title: filled(written.titles.in_year, { year }), change: year, open: true },
    { ...spraying, name: 'coat_at_end', title: filled(written.titles.at_end, { roof: written.roofs[standing] }),
      change: null, open: true },
  );
  return ways.map((way) => ({ ...way, then: way.then ?? way.roof }));
}

/* Where it stands: length in metres, places with their shares, cover; null for what is not known. */
function siteOf(stored, known, feet) {
  const first = stored.places[known.place] ? known.place : null;
  const second = stored.places[known.second_place] ? known.second_place : null;
  const share = known.second_share;
  const two = first && second && second !== first && isNumber(share) && share > 0 && share < 1;
  const part = two ? Math.round(share * 1e4) / 1e4 : 0;
  const places = first === null ? [] : two ? [[first, 1 - part], [second, part]] : [[first, 1]];
  const cover = isNumber(known.sheltered_share) && known.sheltered_share > 0 ? known.sheltered_share : 0;
  return { length: feet === null ? null : feet * FOOT, places, cover, climate: places.length > 0 || cover > 0 };
}

/* Every number that a scenario states, to find the figures in use. */
function* statedNumbers(stored, scenario) {
  for (const part of [stored.leaks, stored.study, stored.owner]) yield* Object.values(part);
  for (const way of scenario.ways) {
    yield way.quote;
    yield way.days;
    for (const name of [way.roof, way.then]) {
      const roof = scenario.roofs[name];
      yield* Object.values(roof.numbers);
      for (const visit of roof.visits) yield* Object.values(visit.numbers);
    }
  }
  yield* Object.values(scenario.roofs[scenario.existing.roof].numbers);
  yield scenario.existing.inspected;
  if (scenario.site.length !== null) yield* Object.values(stored.coach);
  if (scenario.site.climate) {
    yield* Object.entries(stored.climate).filter(([name]) => name !== 'sheltered_share').map(([, one]) => one);
    yield* Object.values(stored.reference);
    for (const [place] of scenario.site.places) yield* Object.values(stored.places[place]);
  }
}

function withUsedFigures(scenario, stored) {
  const used = new Set();
  for (const one of statedNumbers(stored, scenario)) if (Array.isArray(one)) one.forEach((path) => used.add(path));
  const figures = Object.fromEntries(Object.entries(scenario.figures).filter(([path]) => used.has(path)));
  return { ...scenario, figures, allFigures: scenario.allFigures ?? scenario.figures };
}

/* ------------------------------------------------------------------ resolved numbers */

/* Gamma(x) for x above 1 (Lanczos). */
function gamma(x) {
  const terms = [0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313,
    -176.61502916214059, 12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7];
  const sum = terms.reduce((total, term, place) => total + (place ? term / (x - 1 + place) : term), 0);
  const t = x + 6.5;
  return Math.sqrt(2 * Math.PI) * t ** (x - 0.5) * Math.exp(-t) * sum;
}

/* The numbers of a scenario: at likely values, or in the draws that are given by path. */
function lookup(scenario, values) {
  const at = (path) => values[path] ?? scenario.figures[path].likely;
  return (stated) => {
    if (stated === null) return Infinity;
    return Array.isArray(stated) ? times(...stated.map(at)) : stated;
  };
}

function resolve(stored, scenario, values) {
  const number = lookup(scenario, values);
  const all = (numbers) => Object.fromEntries(Object.entries(numbers).map(([name, one]) => [name, number(one)]));
  const site = factorsOf(stored, scenario, number);
  const defaults = (kind) => all(stored.kernel.defaults[kind]);
  const roofs = {};
  for (const [name, roof] of Object.entries(scenario.roofs)) {
    roofs[name] = { ...defaults('Roof'), ...resolvedRoof(all(roof.numbers), site, roof.covering), visits: roof.visits.map(
      (visit) => ({ ...defaults('Visit'), ...all(visit.numbers), name: visit.name, every: visit.every })) };
  }
  const { sign_years: signs, ...leaks } = all(stored.leaks);
  leaks.sign_rate = each((years) => 1 / years, signs);
  if (scenario.site.climate) leaks.rot_time = times(leaks.rot_time, site.rotTime);
  const kept = scenario.figures['owner.holding_period'].likely;
  const months = Math.min(Math.max(roundEven(12 * kept), 1), 12 * scenario.studyPeriod);
  return {
    terms: { years: scenario.studyPeriod, holding: months / 12, discountRate: number(stored.study.discount_rate),
      dayCost: number(stored.owner.day_cost), hourValue: number(stored.owner.hour_value) },
    leaks: { ...defaults('Leaks'), ...leaks },
    existing: { ...scenario.existing, roof: roofs[scenario.existing.roof], inspected: number(scenario.existing.inspected) },
    ways: scenario.ways.map((way) => ({ ...way, roof: roofs[way.roof], then: roofs[way.then],
      quote: number(way.quote), days: number(way.days),
      changeMonth: way.change === null ? null : Math.round(12 * way.change) })),
    roofs,
  };
}

function resolvedRoof(numbers, site, covering) {
  const { life_mean: mean, joint_leaks_ten_years: leaks, ...roof } = numbers;
  const growth = roof.joint_leak_growth ?? 1;
  roof.life_scale = each((life, shape) => life / gamma(1 + 1 / shape), mean, roof.life_shape);
  roof.joint_leaks_first_year = each((ten, power) => ten / 10 ** power, leaks, growth);
  if (site.jointRatio !== undefined) {
    roof.joint_leaks_first_year = times(roof.joint_leaks_first_year, site.jointRatio);
    roof.puncture_rate = times(roof.puncture_rate, site.areaRatio);
  }
  if (site.by) {
    const { ageing, sealAgeing } = site.by[covering];
    roof.ageing = times(roof.ageing ?? 1, ageing);
    roof.joint_leaks_first_year = times(roof.joint_leaks_first_year,
      each((seal, power, frost) => seal ** power * frost, sealAgeing, growth, site.frost));
    roof.puncture_rate = times(roof.puncture_rate, site.punctures);
  }
  return roof;
}

/* What size and place multiply the figures of a roof with: `coach`, `climate` and `heat`. */
function factorsOf(stored, scenario, number) {
  const { length, places, cover, climate } = scenario.site;
  const found = {};
  if (length !== null) {
    const { reference_length, reference_joint_length, reference_area, sprayed_share } = stored.coach;
    const [ref, joints, area, share] = [reference_length, reference_joint_length, reference_area, sprayed_share].map(number);
    found.jointRatio = each((part) => {
      const width = area / ref;
      const flanges = Math.max(joints - 2 * (part * ref + width), 0);
      return (2 * (part * length + width) + flanges) / joints;
    }, share);
    found.areaRatio = (length * (area / ref)) / area;
  }
  if (!climate) return found;
  const drivers = (numbers) => Object.fromEntries(Object.entries(numbers).map(([name, one]) => [name, number(one)]));
  const reference = drivers(stored.reference);
  const whole = places.reduce((sum, [, share]) => sum + share, 0);
  const mixed = (name) => each((...values) =>
    values.reduce((sum, value, place) => sum + value * places[place][1], 0) / whole,
  ...places.map(([place]) => number(stored.places[place][name])));
  const here = places.length ? Object.fromEntries(Object.keys(reference).map((name) => [name, mixed(name)])) : reference;
  const open = 1 - cover;
  const of = Object.fromEntries(Object.entries(stored.climate).filter(([name]) => name !== 'sheltered_share')
    .map(([name, one]) => [name, number(one)]));
  const ratio = (name) => each((one, other) => (open * one) / other, here[name], reference[name]);
  const bySun = each((part, power) => part ** power, ratio('sun'), of.sun_exponent);
  found.frost = each((days, before, b) => Math.exp((b * (open * days - before)) / 100),
    here.freeze_thaw_days, reference.freeze_thaw_days, of.frost_coefficient);
  found.punctures = each((hail, share) => 1 - share + share * hail, ratio('hail_days'), of.hail_share);
  found.rotTime = each((wet, power) => Math.max(wet, 1e-3) ** -power, ratio('wet_days'), of.wet_exponent);
  found.by = {};
  for (const [covering, kept] of Object.entries(stored.surfaces)) {
    const warmth = (place, share) => each((air, sun, reflectance, emittance, h, loss) =>
      air + (share * ((1 - reflectance) * ((sun * 1e9) / SECONDS_A_YEAR) - emittance * loss)) / h,
    place.air_temperature, place.sun, of[`${kept}_reflectance`], of[`${kept}_emittance`],
    of.surface_coefficient, of.sky_loss);
    const heat = (energy) => each((t, t0, e, power) =>
      Math.exp((e / GAS_CONSTANT) * (1 / (t0 + FREEZING) - 1 / (t + FREEZING))) ** power,
    warmth(here, open), warmth(reference, 1), energy, of.heat_exponent);
    found.by[covering] = {
      ageing: each((one, other) => Math.min(Math.max(one * other, 0.6), 1.6), heat(of.membrane_activation_energy), bySun),
      sealAgeing: heat(of.sealant_activation_energy),
    };
  }
  return found;
}
