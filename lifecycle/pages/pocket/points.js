/* Even points, and what they make of ranges: `studies.sampling` once more.

The direction numbers of a coordinate, its random digits and the series of the quantiles are carried by the
page; the formulas stand in the lectures of the two modules. Values are Float64Array, one for each draw.
*/

const DIGITS = 30;
const EDGE = 2 ** -40;

/* All direction numbers of a coordinate, times 2 ** 30. */
function directionNumbers([polynomial, ...first]) {
  const degree = 31 - Math.clz32(polynomial);
  const m = degree === 0 ? Array(DIGITS).fill(1) : first;
  for (let j = m.length; j < DIGITS; j++) {
    let next = m[j - degree];
    for (let back = 1; back <= degree; back++) {
      if ((polynomial >> (degree - back)) & 1) next ^= m[j - back] << back;
    }
    m.push(next);
  }
  return m.slice(0, DIGITS).map((value, j) => value << (DIGITS - 1 - j));
}

function bytesOf(base64) {
  return Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
}

function parity(word) {
  let odd = 0;
  for (let rest = word; rest; rest &= rest - 1) odd ^= 1;
  return odd;
}

/* Scrambled points inside the unit cube: an array for each coordinate. */
function sobolPoints(stored, draws, inputs, seed) {
  const packed = bytesOf(stored.digits[seed]);
  const digit = (place) => (packed[place >> 3] >> (7 - (place & 7))) & 1;
  const most = stored.directions.length;
  if (inputs > most) throw new Error(`more than ${most} inputs`);
  return Array.from({ length: inputs }, (_, input) => {
    let shift = 0;
    for (let place = 0; place < DIGITS; place++) shift += digit(input * DIGITS + place) * 2 ** place;
    const start = inputs * DIGITS + input * DIGITS * DIGITS;
    const rows = Array.from({ length: DIGITS }, (_row, row) => {
      let bits = 1 << (DIGITS - 1 - row);
      for (let place = 0; place < row; place++) {
        if (digit(start + row * DIGITS + place)) bits |= 1 << (DIGITS - 1 - place);
      }
      return bits;
    });
    const scrambled = directionNumbers(stored.directions[input]).map((number) =>
      rows.reduce((sum, bits, row) => sum | (parity(number & bits) << (DIGITS - 1 - row)), 0));
    return Float64Array.from({ length: draws }, (_draw, draw) => {
      let point = shift;
      for (let gray = draw ^ (draw >> 1), place = 0; gray; gray >>= 1, place++) {
        if (gray & 1) point ^= scrambled[place];
      }
      return Math.min(Math.max(point * 2 ** -DIGITS, EDGE), 1 - EDGE);
    });
  });
}

/* A polynomial by its coefficients, the highest first. */
function polynomial(coefficients, x) {
  return coefficients.reduce((sum, one) => sum * x + one, 0);
}

const SCORE = [
  [[2509.0809287301226727, 33430.575583588128105, 67265.770927008700853, 45921.953931549871457,
    13731.693765509461125, 1971.5909503065514427, 133.14166789178437745, 3.387132872796366608],
  [5226.495278852854561, 28729.085735721942674, 39307.89580009271061, 21213.794301586595867,
    5394.1960214247511077, 687.1870074920579083, 42.313330701600911252, 1]],
  [[7.7454501427834140764e-4, 0.0227238449892691845833, 0.24178072517745061177, 1.27045825245236838258,
    3.64784832476320460504, 5.7694972214606914055, 4.6303378461565452959, 1.42343711074968357734],
  [1.05075007164441684324e-9, 5.475938084995344946e-4, 0.0151986665636164571966, 0.14810397642748007459,
    0.68976733498510000455, 1.6763848301838038494, 2.05319162663775882187, 1]],
  [[2.01033439929228813265e-7, 2.71155556874348757815e-5, 0.0012426609473880784386,
    0.026532189526576123093, 0.29656057182850489123, 1.7848265399172913358, 5.4637849111641143699,
    6.6579046435011037772],
  [2.04426310338993978564e-15, 1.4215117583164458887e-7, 1.8463183175100546818e-5,
    7.868691311456132591e-4, 0.0148753612908506148525, 0.13692988092273580531, 0.59983220655588793769, 1]],
];

/* The normal score of a share (Wichura 1988, algorithm AS 241, as in Python's statistics). */
function normalScore(share) {
  const q = share - 0.5;
  if (Math.abs(q) <= 0.425) {
    const r = 0.180625 - q * q;
    return (polynomial(SCORE[0][0], r) * q) / polynomial(SCORE[0][1], r);
  }
  const far = Math.sqrt(-Math.log(q <= 0 ? share : 1 - share));
  const [[above, below], r] = far <= 5 ? [SCORE[1], far - 1.6] : [SCORE[2], far - 5];
  const size = polynomial(above, r) / polynomial(below, r);
  return q < 0 ? -size : size;
}

/* The Chebyshev polynomials of degree 0, 1 ... at x. */
function chebyshev(x, terms) {
  const found = [1, x];
  while (found.length < terms) found.push(2 * x * found[found.length - 1] - found[found.length - 2]);
  return found;
}

/* Values of a PERT range by normal score. */
function pert(stored, { low, likely, high }, scores) {
  const rows = stored.quantiles;
  const alpha = 1 + (4 * (likely - low)) / (high - low);
  const skew = chebyshev(0.5 * (alpha - 3), 2 * Math.max(...rows.map((row) => row.length)));
  const series = rows.map((row, degree) =>
    row.reduce((sum, one, place) => sum + one * skew[((degree + 1) % 2) + 2 * place], 0));
  return scores.map((score) => {
    const within = Math.min(Math.max(score, -stored.reach), stored.reach);
    const terms = chebyshev(within / 7.5, series.length);
    const logit = series.reduce((sum, one, degree) => sum + one * terms[degree], 0);
    return low + (high - low) / (1 + Math.exp(-logit));
  });
}

const isRanged = (figure) => figure.low < figure.high;

/* Rank correlations between two figures: prices with each other, lives with each other. */
function togetherness(rules, one, other) {
  const isPrice = ({ name, basis }) => (name === 'quote' ? basis !== 'offer' : rules.prices.includes(name));
  const isLife = ({ name }) => rules.lives.includes(name);
  if (isPrice(one) && isPrice(other)) return rules.prices_together;
  return isLife(one) && isLife(other) ? rules.lives_together : 0;
}

/* The lower root of the correlation matrix of the scores. */
function lowerRoot(rules, figures) {
  const root = figures.map(() => new Float64Array(figures.length));
  figures.forEach((one, row) => {
    for (let column = 0; column <= row; column++) {
      let left = row === column ? 1 : 2 * Math.sin((Math.PI * togetherness(rules, one, figures[column])) / 6);
      for (let k = 0; k < column; k++) left -= root[row][k] * root[column][k];
      root[row][column] = row === column ? Math.sqrt(left) : left / root[column][column];
    }
  });
  return root;
}

/* Values and scores of ranged figures, by path; `alone`: paths that are drawn as they would be without the others. */
function drawn(stored, figures, alone = null) {
  const place = (path) => {
    const { low, likely, high } = figures[path];
    return [path.split('.').filter((part) => !/^\d+$/.test(part)).join('.'), low, likely, high, path];
  };
  const ordered = (paths) => sortedBy(paths, place);
  const paths = Object.keys(figures).filter((path) => isRanged(figures[path]));
  const first = alone === null ? paths : paths.filter((path) => alone.has(path));
  const others = paths.filter((path) => !first.includes(path));
  const { draws, seed } = stored.made;
  const points = [
    ...sobolPoints(stored.points, draws, first.length, seed),
    ...(others.length ? sobolPoints(stored.points, draws, others.length, seed + 1) : []),
  ].map((column) => column.map(normalScore));
  const all = [...ordered(first), ...ordered(others)];
  const root = lowerRoot(stored.rules, all.map((path) => figures[path]));
  const [values, byPath] = [{}, {}];
  all.forEach((path, row) => {
    const scores = new Float64Array(draws);
    for (let column = 0; column <= row; column++) {
      const weight = root[row][column];
      if (weight !== 0) points[column].forEach((point, draw) => { scores[draw] += weight * point; });
    }
    byPath[path] = scores;
    const { least, most } = figures[path];
    values[path] = pert(stored.points, figures[path], scores)
      .map((value) => Math.min(Math.max(value, least), most === null ? Infinity : most));
  });
  return { values, scores: byPath };
}

/* The places of values, the smallest first; the first of equals first. */
const rising = (values) => Array.from(values.keys()).sort((one, other) => values[one] - values[other] || one - other);

const sortedBy = (things, key) => [...things].sort((one, other) => compared(key(one), key(other)));

/* Order of lists of texts and numbers, entry by entry. */
function compared(one, other) {
  for (let place = 0; place < one.length; place++) {
    if (one[place] < other[place]) return -1;
    if (one[place] > other[place]) return 1;
  }
  return 0;
}
