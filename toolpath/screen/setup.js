// The set-up view, the head and the reading to take.
function showSetup() {
  const { touch, reading, which, cut, mark, hand, file, title, tool, dish, watch } = piece();
  by('which').textContent = which;
  by('stage').textContent = cut;
  by('who').replaceChildren(made('span', which), ' ', made('span', cut));
  by('mark').textContent = [mark && `mark ${mark}`, hand ? 'rows for the readout' : file, title].filter(Boolean).join(' \u00b7 ');
  by('touch-title').textContent = touch.kept ? 'Zero kept: touch nothing off' : `Touch off, then set (${touch.crown})`;
  by('touch-figures').hidden = touch.kept;
  figure('touch-z', touch.z, touch.unit);
  figure('touch-x', touch.x, touch.x_unit);
  by('touch-lines').replaceChildren(...touch.lines.map((line) => made('li', line)));
  facts('tool', tool);
  facts('dish', dish);
  by('watch').replaceChildren(...watch.map(([word, line]) => {
    const item = made('li', '', word);
    item.append(made('b', word), line);
    return item;
  }));
  by('read-what').textContent = reading.what;
  by('read-within').textContent = reading.within;
  by('read-then').textContent = reading.then;
  by('read-left').textContent = reading.left;
  by('read-type').replaceChildren(...reading.type.split(' ').flatMap((word, k) => [k ? ' ' : '', made('span', word)]));
  by('read-where').textContent = reading.where;
}

/** What to expect: where the program is cut, or by the rows in place of it. */
function showExpected() {
  const { hand, reading, rows } = piece();
  const byRows = !hand && view() === 'rows';
  by('read-cc').textContent = byRows ? rows.blended : `${reading.cc} cc`;
  by('read-rows').textContent = byRows ? '(by these rows, blended)' : '';
}

/** Facts by name; a number keeps its unit on its line. */
function facts(id, loose) {
  const pairs = loose.map(([word, text]) => [word, text.replace(/(\d) (?=\S)/g, '$1\u00a0')]);
  const words = [...by(id).children];
  if (words.length === 2 * pairs.length && pairs.every(([word], k) => words[2 * k].textContent === word)) {
    pairs.forEach(([, text], k) => { if (words[2 * k + 1].textContent !== text) words[2 * k + 1].textContent = text; });
    return;
  }
  by(id).replaceChildren(...pairs.flatMap(([word, text]) => [made('dt', word), made('dd', text)]));
}

function showPistons() {
  const nav = by('pistons');
  nav.hidden = pieces.length < 2;
  nav.replaceChildren(...pieces.map((one, k) => {
    const button = made('button', one.piston === null ? 'all' : String(one.piston));
    button.type = 'button';
    button.setAttribute('aria-label', `${one.which}, ${one.cut}`);
    if (k === shownPiece) button.setAttribute('aria-current', 'true');
    button.addEventListener('click', () => choose(k));
    return button;
  }));
}
