// The cut: the program played as it was read back from its text.
const whole = new Picture(by('whole'));
const corner = new Picture(by('corner'));
let at = 1; // blocks done, with a share of the one under way
let playing = null; // the frame asked for, while it plays
let before = 0;
let sums = [0]; // seconds from the start to the end of each block
let lowest = []; // block with the smallest gap up to each

const blockNow = () => Math.max(0, Math.ceil(at) - 1);
const faultsOf = (block) => piece().found.filter(([place]) => place === block[LINE]);

function openCut() {
  stop();
  const { blocks, finished, stock, radius, mouth, found } = piece();
  sums = blocks.reduce((all, block) => [...all, all.at(-1) + block[SECONDS]], [0]);
  lowest = [];
  blocks.forEach((block, k) => {
    const best = k ? lowest[k - 1] : null;
    lowest.push(block[GAP] !== null && (best === null || block[GAP] < blocks[best][GAP]) ? k : best);
  });
  by('block').max = String(blocks.length);
  const heights = [...finished, ...stock].flatMap(([, z1, , z2]) => [z1, z2]);
  const [low, top] = [Math.min(...heights), Math.max(...heights)];
  const outer = stock.at(-1)[2];
  whole.frame(piece(), [-0.7 * radius, outer + 1.2 * radius], [low - 0.8 * radius, top + 2.6 * radius]);
  const edge = Math.min(mouth, outer - 0.5 * radius);
  const deep = Math.min(radius, -low);
  corner.frame(piece(), [edge - 2 * radius, edge + 0.8 * radius], [-0.5 * radius - deep, 2.1 * radius - deep]);
  const refused = found.filter(([, severity]) => severity === 'refused');
  by('alarm').textContent = refused.length
    ? `DO NOT RUN THIS PROGRAM. Faults found in its text: ${refused.length}. The first: ${refused[0][2]}` : '';
  by('next-fault').hidden = !blocks.some((block) => faultsOf(block).length);
  by('closest').hidden = lowest.at(-1) === null;
  if (lowest.at(-1) !== null) by('closest').textContent = `Closest holder: ${where(lowest.at(-1))}`;
  by('marks').replaceChildren(...blocks.flatMap((block, k) => {
    if (!faultsOf(block).length) return [];
    const mark = made('span');
    mark.style.left = `${(100 * k) / Math.max(1, blocks.length - 1)}%`;
    return [mark];
  }));
  go(1);
}

/** Show the program at so many blocks done. */
function go(to) {
  at = Math.max(0, Math.min(piece().blocks.length, to));
  showCut();
}

function showCut() {
  const { blocks, unit, factor, decimals, diameter, shift, hand } = piece();
  const k = blockNow();
  const block = blocks[k];
  const share = at - k;
  const [x, z] = centreAt(block, share);
  const across = (x - shift[0]) * factor * (diameter ? 2 : 1);
  by('block').value = String(k + 1);
  by('block').setAttribute('aria-valuetext', `${hand ? 'row' : 'line'} ${block[LINE]}`);
  by('block-label').textContent = hand ? `Row ${k + 1} of ${blocks.length}` : `Line ${block[LINE]}, move ${k + 1} of ${blocks.length}`;
  showText(block);
  figure('at-x', across.toFixed(decimals), `${unit} ${diameter ? 'diameter' : 'radius'}`);
  figure('at-z', ((z - shift[1]) * factor).toFixed(decimals), unit);
  facts('motion', motionFacts(block, share));
  by('fault').textContent = faultsOf(block).map(([, , text]) => text).join(' ');
  whole.draw(at);
  corner.draw(at);
  const place = `Insert at X ${length(x - shift[0])} from the axis, Z ${length(z - shift[1])}`;
  for (const picture of [whole, corner]) picture.canvas.setAttribute('aria-label', place);
}

function motionFacts(block, share) {
  const { blocks, factor, unit, decimals, hand } = piece();
  const k = blockNow();
  const out = [];
  const kind = block[KIND] === RAPID ? 'rapid' : block[FEED] === null ? 'by hand' : `${(block[FEED] * factor).toFixed(decimals)} ${unit}/rev`;
  out.push(['feed', kind]);
  if (!hand) {
    const turning = block[RPM1] > 0 && block[RPM2] > 0;
    const rpm = turning ? 1 / ((1 - share) / block[RPM1] + share / block[RPM2]) : 0;
    out.push(['spindle', turning ? `${Math.round(rpm)} rev/min` : 'stopped']);
    out.push(['time', `${clock(sums[k] + share * block[SECONDS])} of ${clock(sums.at(-1))}`]);
  }
  const best = lowest[k];
  if (!piece().holder) return [...out, ['holder gap', 'not known: no holder stated']];
  const none = 'not known yet';
  out.push([`holder gap, this ${hand ? 'row' : 'move'}`, block[GAP] === null ? none : gapWords(block)]);
  out.push(['smallest so far, as drawn', best === null ? none : where(best)]);
  return out;
}

const where = (k) => `${gapWords(piece().blocks[k])}, ${piece().hand ? 'row' : 'line'} ${piece().blocks[k][LINE]}`;
const gapWords = (block) => (block[GAP] > 0 ? length(block[GAP]) : `IN THE METAL by ${length(-block[GAP])}`);

function clock(seconds) {
  const all = Math.floor(seconds + 0.5);
  return `${Math.floor(all / 60)} min ${String(all % 60).padStart(2, '0')} s`;
}

/** The line of the block, and those about it. */
function showText(block) {
  const { text, found } = piece();
  const list = by('text');
  if (list.dataset.shown === `${piece().key} ${block[LINE]}`) return;
  list.dataset.shown = `${piece().key} ${block[LINE]}`;
  const bad = new Set(found.map(([place]) => place));
  const first = Math.max(0, Math.min(block[LINE] - 3, text.length - 5));
  list.replaceChildren(...text.slice(first, first + 5).map((words, n) => {
    const number = first + n + 1;
    const item = made('li', '', bad.has(number) ? 'bad' : '');
    const written = made('span');
    written.append(...words.split(' ').map((word) => made('b', word))); // a word is never broken
    item.append(made('i', String(number)), written);
    if (number === block[LINE]) {
      item.classList.add('now');
      item.dataset.line = String(number);
      item.setAttribute('aria-current', 'true');
    }
    return item;
  }));
}

const pace = () => Number(document.querySelector('[name=pace]:checked').value);

function play() {
  if (playing !== null) return stop();
  if (at >= piece().blocks.length) at = 0;
  const until = pace() ? piece().blocks.length : Math.floor(at) + 1;
  by('play').textContent = 'Stop';
  before = performance.now();
  const frame = (now) => {
    advance((now - before) / 1000, until);
    before = now;
    if (at >= until) stop();
    else playing = requestAnimationFrame(frame);
  };
  playing = requestAnimationFrame(frame);
}

/** Go on by so many seconds of the clock on the wall. */
function advance(seconds, until) {
  let left = seconds * pace();
  let to = at;
  while (to < until) {
    const k = Math.floor(to);
    const long = pace() ? piece().blocks[k][SECONDS] : 1;
    if (!pace()) left = left || seconds;
    const rest = long * (k + 1 - to);
    if (rest > left) {
      to += left / long;
      break;
    }
    left -= rest;
    to = k + 1;
  }
  go(Math.min(to, until));
}

function stop() {
  if (playing !== null) cancelAnimationFrame(playing);
  playing = null;
  by('play').textContent = 'Play';
}

function stepBlock(way) {
  stop();
  go(way > 0 ? Math.floor(at) + 1 : Math.max(1, Math.ceil(at) - 1));
}

function toNextFault() {
  stop();
  const { blocks } = piece();
  const k = blockNow();
  const next = blocks.findIndex((block, n) => n > k && faultsOf(block).length);
  go((next < 0 ? blocks.findIndex((block) => faultsOf(block).length) : next) + 1);
}

function toClosest() {
  stop();
  const k = lowest.at(-1);
  go(k + (piece().blocks[k][SHARE] || 1));
}
