// Judges one reading against others with the limits, orders and sentences that the page holds as data.
const typedChecks = (data, valueOf) => {
  "use strict";
  const checks = data.checks;
  const readings = Object.fromEntries(data.readings.map((one) => [one.key, one]));

  const filled = (text, blanks) => text.replace(/\{(\w+)\}/g, (blank, name) => (name in blanks ? blanks[name] : blank));
  const number = (value, digits = 8) => String(Number(value.toPrecision(digits)));
  const shown = (key, held) => `${number(held / readings[key].factor)} ${readings[key].unit}`;
  const minus = (text) => text.replace("-", "−");
  const finding = (code, blanks) => ({
    code,
    level: checks.sentences[code].level,
    sentence: filled(checks.sentences[code].sentence, { verdict: "", mend: "", ...blanks }),
    remedy: filled(checks.sentences[code].remedy, blanks),
  });

  function middle(values) {
    const sorted = [...values].sort((a, b) => a - b);
    const half = sorted.length >> 1;
    return sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
  }

  function held(row, key) {
    const reading = readings[key];
    if (!reading) return NaN;
    const at = reading.of_mark ? row : data.rows[row].first;
    return valueOf(at, key) * reading.factor;
  }

  const texts = (row) => data.rows[data.rows[row].first].choices;

  function computed(formula, values) {
    if (typeof formula === "number") return formula;
    if (typeof formula === "string") return values[formula];
    const [left, right] = formula.slice(1).map((part) => computed(part, values));
    return { "+": left + right, "-": left - right, "*": left * right, "/": left / right, "^": left ** right }[formula[0]];
  }

  function slope(way, values, key) {
    const step = values[key] * 1e-6;
    const at = (change) => computed(way.formula, { ...values, [key]: values[key] + change });
    return (at(step) - at(-step)) / (2 * step);
  }

  function byOrder(row, key, verdict) {
    const found = [];
    for (const order of checks.orders) {
      if (key !== order.larger && key !== order.smaller) continue;
      if (order.not_when && texts(row).forming === order.not_when) continue;
      const [larger, smaller] = [held(row, order.larger), held(row, order.smaller)];
      const excess = smaller - larger;
      if (!(order.strict ? excess >= 0 : excess > 1e-9)) continue;
      const read = !order.strict && excess <= data.steps[order.instrument] * (1 + 1e-6);
      found.push(read
        ? finding("within-reading-uncertainty", {
          larger: readings[order.larger].heading, smaller: readings[order.smaller].heading, excess: shown(key, excess),
        })
        : finding(order.code, {
          bar: data.rows[row].names[0], larger: shown(order.larger, larger), smaller: shown(order.smaller, smaller), verdict,
        }));
    }
    return found;
  }

  function byLimits(row, key) {
    const found = [];
    for (const quantity of checks.quantities) {
      if (quantity.when && texts(row)[quantity.when[0]] !== quantity.when[1]) continue;
      const way = quantity.ways.find((one) => one.needs.every((need) => !Number.isNaN(held(row, need))));
      if (!way || !way.needs.includes(key)) continue;
      const values = Object.fromEntries(way.needs.map((need) => [need, held(row, need)]));
      const value = computed(way.formula, values);
      const parts = way.needs.map((need) => slope(way, values, need) * data.steps[readings[need].instrument]);
      const slack = checks.sure * Math.hypot(...parts) / Math.sqrt(12);
      const outside = ({ low, high }) =>
        (low !== null && value < low - 1e-9 - slack) || (high !== null && value > high + 1e-9 + slack);
      const plausible = quantity.plausible_by[texts(row).forming] || quantity.plausible;
      const broken = [["impossible-value", quantity.possible], ["beyond-clay", plausible]].find((one) => outside(one[1]));
      if (!broken) continue;
      const inOrder = [quantity.base, ...way.needs.filter((need) => need !== quantity.base)];
      found.push(finding(broken[0], {
        quantity: quantity.name,
        amount: minus(`${value.toFixed(quantity.digits)}${quantity.unit && ` ${quantity.unit}`}`),
        readings: inOrder.map((need) => `${readings[need].heading} ${shown(need, values[need])}`).join(", "),
        range: broken[1].words, reason: broken[1].reason,
      }));
    }
    return found;
  }

  function neighbours(row, before) {
    const group = before ? "batch" : "load";
    return data.rows.flatMap((other, at) => (at !== row && other[group] === data.rows[row][group] ? [at] : []));
  }

  function strays(row, of, before, share, rounding) {
    const own = of(row);
    const others = neighbours(row, before).map(of).filter((value) => value > 0);
    if (!(own > 0) || others.length + 1 < checks.fewest) return null;
    const usual = middle([...others, own]);
    const spread = Math.hypot(middle([...others, own].map((value) => Math.abs(value - usual))) * 1.4826, rounding);
    const off = Math.abs(own - usual);
    if (share === null) return own / usual > checks.alone || usual / own > checks.alone ? { usual: middle(others), count: others.length } : null;
    const limit = checks.far * (1 + 4 / (others.length + 1)) * spread;
    return off > limit && off > share ? { usual: middle(others), count: others.length } : null;
  }

  function byNeighbours(row, key) {
    const reading = readings[key];
    const alone = strays(row, (at) => held(at, key), reading.before_firing, null, 0);
    if (alone) return far(row, key, alone.usual, alone.count);
    for (const [start, end, share] of checks.pairs) {
      if ((key !== start && key !== end) || !readings[start] || !readings[end]) continue;
      const rounding = data.steps[readings[start].instrument] / held(row, start) / Math.sqrt(6);
      const before = readings[start].before_firing && readings[end].before_firing;
      const found = strays(row, (at) => held(at, end) / held(at, start), before, share, rounding);
      if (found) return far(row, key, key === end ? held(row, start) * found.usual : held(row, end) / found.usual, found.count);
    }
    return null;
  }

  function far(row, key, usual, count) {
    const { heading, unit, factor } = readings[key];
    const value = held(row, key) / factor;
    const [meant, kind] = slip(value, usual / factor) || [];
    const words = kind
      ? filled(checks.would_fit, { meant: number(meant), unit, value: number(value), kind })
      : filled(checks.should_be, { usual: number(usual / factor, 4), unit });
    const blanks = { value: shown(key, value * factor), heading, bar: data.rows[row].names[0], neighbours: count, mend: words };
    return { ...finding("far-from-neighbours", blanks), words };
  }

  // The number that was likely meant: a shifted point, two digits turned round, or one wrong digit.
  function slip(value, usual) {
    const off = (candidate) => Math.abs(candidate - usual);
    const nearest = (candidates) => candidates.reduce((best, one) => (off(one) < off(best) ? one : best), Infinity);
    const shifted = nearest([-3, -2, -1, 1, 2, 3].map((power) => Number((value * 10 ** power).toPrecision(10))));
    if (off(shifted) < checks.shifted * usual) return [shifted, checks.slips.shift];
    const text = number(value, 10);
    const digits = [...text].flatMap((sign, at) => (/\d/.test(sign) ? [at] : []));
    const turned = digits.slice(1).map((right, n) => {
      const signs = [...text];
      [signs[digits[n]], signs[right]] = [signs[right], signs[digits[n]]];
      return Number(signs.join(""));
    });
    const changed = digits.flatMap((at) => [..."0123456789"].map((digit) => Number(text.slice(0, at) + digit + text.slice(at + 1))));
    for (const [kind, candidates] of [["turn", turned], ["digit", changed]]) {
      const best = nearest(candidates.filter((one) => one !== value && off(one) < 0.01 * usual));
      if (best !== Infinity) return [best, checks.slips[kind]];
    }
    return null;
  }

  function bySize(key, value) {
    const reading = readings[key];
    const [low, high] = reading.limits;
    if (value * reading.factor >= low && value * reading.factor <= high) return [];
    const words = { value: shown(key, value * reading.factor), heading: reading.heading, low: reading.bars_have[0], high: reading.bars_have[1] };
    return [finding("not-the-size-of-a-bar", words)];
  }

  // What is to be told of a reading, the gravest first; nothing when it fits.
  function doubts(row, key) {
    const value = held(row, key) / readings[key].factor;
    if (Number.isNaN(value)) return [];
    const apart = byNeighbours(row, key);
    const impossible = byOrder(row, key, apart ? apart.words : "");
    if (impossible.length) return impossible;
    if (apart) return [apart];
    const limits = byLimits(row, key);
    return limits.length ? limits : bySize(key, value);
  }

  // A number as people type it, with a point or a comma, in inches also as a fraction; or what is wrong with it.
  function parsed(text, key) {
    const { unit, heading } = readings[key];
    const typed = text.trim().replace("−", "-");
    const fraction = unit === "in" && typed.match(/^(?:(\d+)[\s-]+)?(\d+)\/([1-9]\d*)$/);
    const plain = /^[+-]?(?:\d+[.,]?\d*|[.,]\d+)$/.test(typed);
    if (!plain && !fraction) return { wrong: finding("not-a-number", { value: text, heading }) };
    const value = fraction ? Number(fraction[1] || 0) + fraction[2] / fraction[3] : Number(typed.replace(",", "."));
    if (value > 0) return { value };
    return { wrong: finding("zero-or-negative", { value: text, heading, what: value < 0 ? "negative" : "zero" }) };
  }

  return { doubts, parsed, filled };
};
