// The rows: the one to cut now, the next, and how many are done. One number is kept: those before it are done.
let rowNow = 0;

const rowCount = () => piece().rows.rows.length;

function openRows() {
  const stored = Number(recall(piece().key));
  rowNow = Number.isInteger(stored) && stored > 0 ? Math.min(stored, rowCount()) : 0;
  const { unit, x_unit: across, rows, notes } = piece().rows;
  const brief = across.replace('diameter', 'dia').replace('radius', 'rad');
  const slides = rows.some((row) => row.slide);
  const sliding = slides ? [`Z end, ${unit}`, 'angle, \u00b0', `travel, ${unit}`] : [];
  const heads = ['row', 'cut', `Z, ${unit}`, `X start, ${brief}`, `X stop, ${brief}`, `infeed, ${unit}`, ...sliding, 'done', 'how'];
  by('row-heads').replaceChildren(...heads.map((text) => {
    const head = made('th', text, text === 'done' ? 'done' : '');
    head.scope = 'col';
    return head;
  }));
  by('row-list').replaceChildren(...rows.map((row, k) => {
    const line = made('tr');
    const slide = slides ? (row.slide || ['', '', '']).map(minus) : [];
    const cells = [String(k + 1), row.cut, minus(row.z), minus(row.start), minus(row.stop), minus(row.infeed), ...slide];
    line.append(...cells.map((text) => made('td', text)), made('td', '', 'done'), made('td', row.how));
    return line;
  }));
  by('row-notes').replaceChildren(...notes.map((text) => made('li', text)));
  by('instead').hidden = piece().hand;
  showRow();
}

function showRow() {
  const { unit, x_unit: across, rows } = piece().rows;
  const { speed } = piece();
  const all = rowNow >= rows.length;
  const k = Math.min(rowNow, rows.length - 1);
  const { cut, z, start, stop, infeed, bites, slide, how } = rows[k];
  const now = by('now');
  now.dataset.row = String(k + 1);
  now.dataset.z = z;
  now.dataset.xStop = stop;
  by('now-number').textContent = `Row ${k + 1} of ${rows.length}`;
  by('now-cut').textContent = `\u00b7 ${cut}`;
  now.classList.toggle('all', all);
  by('now-done').textContent = all ? 'ALL ROWS DONE' : '';
  figure('now-z', z, unit);
  figure('now-x', stop, across);
  by('now-first').textContent = bites ? '1 X bites' : '1 X start';
  by('now-second').textContent = bites ? '2 Z, bites' : '2 Z';
  figure('now-start', bites ? bites[0] : start, across);
  by('now-infeed').textContent = `${minus(infeed)} ${unit}`;
  by('now-speed').textContent = speed;
  by('now-slide').textContent = slide
    ? `top slide at ${slide[1]}\u00b0, travels ${slide[2]} ${unit}, ends at Z ${minus(slide[0])} ${unit}` : '';
  by('now-bites').textContent = bites ? bites[1].replace(/-(?=\d)/g, '\u2212') : '';
  by('now-how').textContent = how;
  const after = rows[k + 1];
  const ending = `${[...piece().rows.to_do, 'Take the reading below'].join('. ')}.`;
  by('next').textContent = all ? `Next: ${ending}${piece().which.startsWith('Each') ? ' Then start again at row 1, at the foot of the table, for the next piston.' : ''}`
    : after ? `Next, row ${k + 2}, ${after.cut}: X ${after.bites ? `bites ${minus(after.bites[0])}` : `start ${minus(after.start)}`}, Z ${minus(after.z)}, to X stop ${minus(after.stop)} ${across}`
      : `Next: this is the last row. ${ending}`;
  by('kept').textContent = keeps ? '' : 'This window keeps nothing: done marks are lost when it is closed.';
  by('row-back').disabled = rowNow === 0;
  by('row-done').disabled = all;
  by('row-again').textContent = AGAIN;
  [...by('row-list').children].forEach((line, n) => {
    line.className = n === k && !all ? 'now' : '';
    line.querySelector('.done').textContent = n < rowNow ? '\u2713' : '';
  });
}

function moveRow(steps) {
  rowNow = Math.max(0, Math.min(rowCount(), rowNow + steps));
  keep(piece().key, rowNow);
  showRow();
}

const AGAIN = 'Start again at row 1';

/** Asked for twice, so that no sleeve clears the marks. */
function startAgain() {
  const sure = 'Press once more to clear the done marks';
  if (by('row-again').textContent === sure) moveRow(-rowNow);
  else by('row-again').textContent = sure;
}
