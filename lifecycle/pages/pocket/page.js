/* The page: asks the questions, and shows the answer as soon as what is needed is answered.

Texts come from the words that the page carries; every text is set as text, never as markup. While an answer is
worked out the old one is grey; a newer change of an answer gives the older work up.
*/

const MONTHS = 12;
const PAUSE = 250; // milliseconds after the last key before anything is worked out
const NUMBER = /^(\d{1,3}(,\d{3})+|\d+)(\.\d+)?$/; // a comma parts thousands
const LOOKED = { nobody: 'nobody', nothing: 'nothing', seen: 'seen' };

class GivenUp extends Error {}

/* An element with attributes and children; a child that is a text is set as text. */
function element(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === true) made.setAttribute(key, '');
    else if (value !== false && value !== null) made.setAttribute(key, value);
  }
  made.append(...children.flat());
  return made;
}

/* ------------------------------------------------------------------ the questions */

class Form {
  constructor(stored, box, changed) {
    Object.assign(this, { stored, box, say: stored.words.page });
    this.parts = stored.questions.flatMap((question) => question.parts);
    box.append(...stored.questions.map((question) => this.question(question)));
    box.addEventListener('input', () => { this.follow(); changed(); });
    box.addEventListener('submit', (event) => event.preventDefault());
    this.follow();
  }

  question({ number, text, parts }) {
    return element('fieldset', { class: 'question' },
      element('legend', {}, element('span', { class: 'number', 'aria-hidden': 'true' }, String(number)), text),
      parts.map((part) => this.part({ ...part, under: text })));
  }

  part(part) {
    const box = element('div', { class: 'part', 'data-part': part.key });
    const fields = { choice: () => (part.needed ? this.radios(part) : this.select(part, part.choices)),
      yes_no: () => this.select(part, [{ value: 'true', text: this.say.yes }, { value: 'false', text: this.say.no }]),
      amount: () => (part.key === 'keep' ? this.three(part) : this.number(part)),
      number: () => this.number(part),
      months: () => this.number({ ...part, low: 0, high: MONTHS }, this.say.months),
      age: () => this.age(part),
      text: () => this.select(part, Object.keys(this.stored.places).map((place) => ({ value: place, text: place }))),
      several: () => this.trouble(part) };
    box.append(...fields[part.kind](), element('p', { class: 'wrong', id: `wrong-${part.key}`, hidden: true }));
    return box;
  }

  /* What is asked; what stands over it already is heard only. */
  label(part, to) {
    const { ask, under } = part;
    if (!ask.startsWith(under)) return element('label', { for: to }, ask);
    return element('label', { for: to }, element('span', { class: 'unseen' }, under), ask.slice(under.length).replace(/^ \[(.*)\]$/, ' $1'));
  }

  choice(attributes, text) {
    return element('label', { class: 'choice' }, element('input', attributes), text);
  }

  radios(part) {
    const choices = [...part.choices, { value: NOT_SURE, text: this.say.not_sure }];
    return [element('div', { role: 'radiogroup', 'aria-label': part.ask, class: 'choices' },
      choices.map(({ value, text }) => this.choice({ type: 'radio', name: part.key, value }, text)))];
  }

  select(part, choices) {
    const options = [{ value: '', text: this.say.not_sure }, ...choices];
    return [this.label(part, part.key), element('select', { id: part.key, 'aria-describedby': `wrong-${part.key}` },
      options.map(({ value, text }) => element('option', { value }, text)))];
  }

  number(part, unit = '') {
    const unsure = part.needed ? [this.choice({ type: 'checkbox', id: `${part.key}-unsure` }, this.say.no_quote)] : [];
    return [this.label(part, part.key), element('div', { class: 'row' }, this.field(part.key), unit), ...unsure];
  }

  field(id, name = null) {
    return element('input', { type: 'text', inputmode: 'decimal', autocomplete: 'off', id, size: 8,
      'aria-label': name, 'aria-describedby': `wrong-${id.split('-')[0]}` });
  }

  three(part) {
    const ends = [['low', this.say.surely], ['likely', this.say.likely], ['high', this.say.at_most]];
    return [element('p', {}, part.ask), element('div', { class: 'ends' }, ends.map(([end, text]) =>
      element('label', {}, text, this.field(`${part.key}-${end}`)))),
    this.choice({ type: 'checkbox', id: `${part.key}-unsure` }, this.say.not_sure)];
  }

  age(part) {
    const unit = element('select', { id: `${part.key}-unit`, 'aria-label': `${part.ask} (${this.say.unit})` },
      element('option', { value: '12' }, this.say.years), element('option', { value: '1' }, this.say.months));
    const hint = part.needed ? [] : [element('p', { class: 'hint' }, this.say.never)];
    return [this.label(part, part.key), element('div', { class: 'row' }, this.field(part.key), unit), ...hint];
  }

  trouble(part) {
    const looks = [[LOOKED.nobody, this.say.nobody_looked], [LOOKED.nothing, this.say.nothing_seen], [LOOKED.seen, this.say.seen]];
    return [element('div', { role: 'radiogroup', 'aria-label': part.ask, class: 'choices' }, looks.map(([value, text]) =>
      this.choice({ type: 'radio', name: 'looked', value, checked: value === LOOKED.nobody }, text))),
    element('div', { role: 'group', 'aria-label': this.say.seen, class: 'choices', id: 'signs' },
      part.choices.map(({ value, text }) => this.choice({ type: 'checkbox', name: 'sign', value }, text)))];
  }

  /* Show what is to be asked after the answers so far. */
  follow() {
    const answers = this.read().answers;
    for (const part of this.parts) this.box.querySelector(`[data-part="${part.key}"]`).hidden = !this.isAsked(part, answers);
    this.box.querySelector('#signs').hidden = this.checked('looked') !== LOOKED.seen;
  }

  /* Whether a part is asked after the answers so far. */
  isAsked({ after }, answers) {
    return !after || ![undefined, NOT_SURE, 0].includes(answers[after]);
  }

  checked(name) {
    return this.box.querySelector(`input[name="${name}"]:checked`)?.value;
  }

  value(id) {
    return this.box.querySelector(`#${id}`).value.trim();
  }

  ticked(id) {
    return this.box.querySelector(`#${id}`)?.checked ?? false;
  }

  /* The answers so far, what is still needed, and what is wrong by part. */
  read() {
    const answers = {};
    const wrong = new Map();
    const needed = [];
    for (const part of this.parts) {
      try {
        const value = this.answer(part);
        if (value !== undefined && this.isAsked(part, answers)) answers[part.key] = value;
        else if (part.needed) needed.push(part);
      } catch (problem) {
        if (!(problem instanceof RangeError)) throw problem;
        wrong.set(part.key, problem.message);
      }
    }
    const contradict = (key, when, text) => { if (!wrong.has(key) && when) wrong.set(key, text); };
    contradict('seal_age', answers.seal_age > answers.roof_age, this.say.older_joints);
    contradict('quoted_length', answers.quoted_length > answers.length + 0.05, this.say.longer_quote);
    contradict('climbs', answers.climbs === false && this.stored.plans[answers.otherwise]?.own, this.say.own_work);
    return { answers, wrong, needed };
  }

  answer(part) {
    const { key, kind } = part;
    if (this.ticked(`${key}-unsure`)) return NOT_SURE;
    if (kind === 'several') {
      const looked = this.checked('looked');
      if (looked === LOOKED.nobody) return NOT_SURE;
      const signs = [...this.box.querySelectorAll('input[name="sign"]:checked')].map((one) => one.value);
      if (looked === LOOKED.seen && !signs.length) throw new RangeError(this.say.which_sign);
      return looked === LOOKED.seen ? signs : [];
    }
    if (kind === 'choice' && part.needed) return this.checked(key);
    if (['choice', 'text'].includes(kind)) return this.value(key) || undefined;
    if (kind === 'yes_no') return this.value(key) === '' ? undefined : this.value(key) === 'true';
    if (key === 'keep') return this.years(part);
    const high = { roof_age: this.stored.limits.age, seal_age: this.stored.limits.age }[key] ?? part.high;
    if (kind === 'age') {
      const months = this.number_of(this.value(key), 0, high, Number(this.value(`${key}-unit`)));
      return months === undefined ? undefined : Math.round(months);
    }
    if (kind === 'months') {
      const months = this.number_of(this.value(key), 0, MONTHS);
      return months === undefined ? undefined : months / MONTHS;
    }
    return this.number_of(this.value(key), part.low, high);
  }

  years(part) {
    const [low, likely, high] = ['low', 'likely', 'high'].map((end) =>
      this.number_of(this.value(`${part.key}-${end}`), part.low, this.stored.limits.years));
    if (likely === undefined) return undefined;
    if (low === undefined && high === undefined) return likely;
    const ends = { low: low ?? likely, likely, high: high ?? likely };
    if (ends.low > ends.likely || ends.likely > ends.high) throw new RangeError(this.say.ends);
    return ends;
  }

  number_of(text, low, high, unit = 1) {
    if (text === '') return undefined;
    const value = NUMBER.test(text) ? Number(text.replaceAll(',', '')) * unit : NaN;
    if (!Number.isFinite(value) || value < low || (high !== null && value > high)) {
      const ends = { low: grouped(Math.ceil(low / unit)), high: grouped(Math.floor((high ?? 1e6) / unit)) };
      throw new RangeError(filled(this.say.from_to, ends));
    }
    return value;
  }

  /* Mark what is wrong, beside the field. */
  mark(wrong) {
    for (const part of this.parts) {
      const box = this.box.querySelector(`[data-part="${part.key}"]`);
      const note = box.querySelector('.wrong');
      note.hidden = !wrong.has(part.key);
      note.textContent = wrong.get(part.key) ?? '';
      for (const field of box.querySelectorAll('input[type="text"], select')) {
        if (wrong.has(part.key)) field.setAttribute('aria-invalid', 'true');
        else field.removeAttribute('aria-invalid');
      }
    }
  }
}

/* The answers as a file for the whole tool. */
function answersFile(stored, answers) {
  const toml = (value) => {
    if (Array.isArray(value)) return `[${value.map(toml).join(', ')}]`;
    if (value !== null && typeof value === 'object') return `{${Object.entries(value).map(([key, one]) => `${key} = ${toml(one)}`).join(', ')}}`;
    return typeof value === 'string' ? JSON.stringify(value) : String(value);
  };
  const keys = stored.questions.flatMap((question) => question.parts.map((part) => part.key));
  const lines = keys.filter((key) => answers[key] !== undefined).map((key) => `${key} = ${toml(answers[key])}`);
  return [`# ${stored.words.page.file_head}`, '[answers]', ...lines, ''].join('\n');
}

/* ------------------------------------------------------------------ the answer */

/* Twenty coaches, filled from the left. */
function marks(number, text) {
  return element('span', { class: 'marks', role: 'img', 'aria-label': text }, Array.from({ length: 20 }, (_, place) =>
    element('span', { class: place < number ? 'mark full' : 'mark' })));
}

function paragraphs(lines) {
  const out = [];
  for (const line of lines) {
    if (!line.startsWith(STROKE)) out.push(element('p', {}, line));
    else {
      if (out[out.length - 1]?.tagName !== 'UL') out.push(element('ul'));
      out[out.length - 1].append(element('li', {}, line.slice(STROKE.length)));
    }
  }
  return out;
}

function tableOf(stored, { change, years, rows }, answers) {
  const said = stored.words.twenties;
  const kept = likelyOf(answers.keep);
  const mine = isNumber(kept) ? years.reduce((best, year) => (Math.abs(year - kept) < Math.abs(best - kept) ? year : best)) : null;
  const head = element('tr', {}, element('th', { scope: 'col' }, stored.words.labels.sold_after),
    years.map((year) => element('th', { scope: 'col', class: year === mine ? 'mine' : null }, String(year))));
  const own = answers.otherwise !== NOT_SURE;
  const body = rows.map((row) => element('tr', { class: row.own && own ? 'own' : null },
    element('th', { scope: 'row' }, row.own && own ? filled(said.own_row, { plan: row.title }) : row.title),
    row.counts.map((count, place) => element('td', { class: years[place] === mine ? 'mine' : null }, String(count)))));
  return element('table', {}, element('caption', {}, filled(said.twenties, { change })),
    element('thead', {}, head), element('tbody', {}, body));
}

class Panel {
  constructor(stored, box) {
    Object.assign(this, { stored, box, say: stored.words.page });
    this.state = box.querySelector('#state');
    this.answer = box.querySelector('#answer');
    this.brief = document.getElementById('brief');
  }

  waits(needed, wrong) {
    const names = needed.map((part) => part.short);
    this.fails(wrong ? this.say.mend : filled(this.say.waits, { what: listed(this.stored.words.labels, names) }));
  }

  works() {
    this.state.textContent = this.say.working;
    this.answer.classList.add('old');
  }

  fails(text) {
    this.state.textContent = text;
    this.answer.replaceChildren();
    this.inBrief('');
  }

  shows(found, answers) {
    const [first, ...others] = found.lines;
    const beside = found.beside.filter((line) => line !== found.price);
    const parts = [element('h2', {}, first), ...paragraphs(others)];
    if (!found.trouble) {
      if (found.counted !== null) parts.push(element('p', {}, marks(found.counted, filled(this.say.marks, { k: found.counted }))));
      parts.push(...paragraphs(found.more ?? []));
      if (found.price) parts.push(element('p', { class: 'price' }, found.price));
    }
    parts.push(...paragraphs(beside));
    if (found.table) {
      parts.push(element('div', { class: 'wide', tabindex: '0', role: 'region', 'aria-label': this.say.table }, tableOf(this.stored, found.table, answers)),
        element('p', { class: 'hint' }, this.stored.words.twenties.twenties_note));
    }
    this.answer.replaceChildren(...parts);
    this.answer.classList.remove('old');
    this.state.textContent = found.trouble || found.table ? '' : this.say.table_comes;
    this.inBrief(first);
  }

  /* Keep the first line in sight where the answer is not. */
  inBrief(text) {
    this.brief.textContent = text;
    this.observer?.disconnect();
    this.brief.hidden = true;
    if (text === '') return;
    this.observer = new IntersectionObserver(([seen]) => { 
      this.brief.hidden = seen.isIntersecting || seen.boundingClientRect.top < 0;
    });
    this.observer.observe(this.box);
  }
}

/* ------------------------------------------------------------------ from a key to the answer */

async function start() {
  const stored = JSON.parse(document.getElementById('stored').textContent);
  const panel = new Panel(stored, document.getElementById('panel'));
  const file = document.getElementById('file');
  let kernel;
  try {
    kernel = await openKernel(document.getElementById('kernel').textContent);
  } catch {
    panel.fails(stored.words.page.old_browser);
    return;
  }
  let turn = 0;
  let waiting = 0;
  const form = new Form(stored, document.getElementById('questions'), () => {
    clearTimeout(waiting);
    waiting = setTimeout(answered, PAUSE);
  });

  async function answered() {
    turn += 1;
    const own = turn;
    const { answers, wrong, needed } = form.read();
    form.mark(wrong);
    file.value = answersFile(stored, answers);
    if (needed.length || wrong.size) {
      panel.waits(needed.filter((part) => !wrong.has(part.key)), wrong.size > 0);
      return;
    }
    panel.works();
    const pause = () => new Promise((go, stop) => {
      setTimeout(() => (own === turn ? go() : stop(new GivenUp())));
    });
    try {
      await pause();
      const found = await answerOf(kernel, stored, answers, pause);
      panel.shows(found, answers);
      if (found.trouble) return;
      const told = { ...found, more: await found.rest() };
      panel.shows(told, answers);
      panel.shows({ ...told, table: await found.twenties() }, answers);
    } catch (problem) {
      if (problem instanceof GivenUp) return;
      panel.fails(problem instanceof NoFuture ? stored.words.page.no_future : stored.words.page.fault);
      if (!(problem instanceof NoFuture)) throw problem;
    }
  }

  document.getElementById('save').addEventListener('click', () => {
    const address = URL.createObjectURL(new Blob([file.value], { type: 'text/plain' }));
    element('a', { href: address, download: 'answers.toml' }).click();
    setTimeout(() => URL.revokeObjectURL(address), 1000);
  });
  document.getElementById('copy').addEventListener('click', () => {
    file.select();
    document.execCommand('copy');
  });
  document.getElementById('again').addEventListener('click', () => {
    form.box.reset();
    form.follow();
    answered();
  });
  window.pocket = { answer: async (answers, table) => {
    const found = await answerOf(kernel, stored, answers);
    if (found.trouble) return found;
    return { ...found, more: await found.rest(), table: table ? await found.twenties() : null };
  } };
  await answered();
}

start();
