// Choosing a view and a piston; keys; print.
const VIEWS = ['setup', 'rows', 'cut'];

function view() {
  const asked = location.hash.slice(1);
  return VIEWS.includes(asked) ? asked : 'setup';
}

function showView() {
  const shown = view();
  document.body.dataset.view = shown;
  document.querySelectorAll('#views a').forEach((link) => {
    if (link.hash === `#${shown}`) link.setAttribute('aria-current', 'page');
    else link.removeAttribute('aria-current');
  });
  if (shown !== 'cut') stop();
  showExpected();
  fitAll();
  scrollTo(0, 0);
}

function fitAll() {
  document.querySelectorAll('.figure').forEach(fitted);
  fitPictures();
}

function fitPictures() {
  if (!by('whole').clientWidth) return;
  for (const picture of [whole, corner]) picture.fit();
  drawFlank(by('below'));
  showCut();
}

function choose(k) {
  shownPiece = k;
  keep(`round ${round}`, pieces[k].key);
  showPistons();
  showSetup();
  showExpected();
  openRows();
  openCut();
  fitAll();
}

document.addEventListener('keydown', (event) => {
  if (event.altKey || event.ctrlKey || event.metaKey) return;
  const on = event.target.closest('button, input, [tabindex]');
  const shown = view();
  if (event.key === ' ') {
    if (on || shown === 'setup') return;
    if (shown === 'rows') moveRow(1);
    else play();
  } else if ((event.key === 'ArrowRight' || event.key === 'ArrowLeft') && shown !== 'setup') {
    if (on?.matches('input, [tabindex]')) return;
    const way = event.key === 'ArrowRight' ? 1 : -1;
    if (shown === 'rows') moveRow(way);
    else stepBlock(way);
  } else return;
  event.preventDefault();
});

by('row-done').addEventListener('click', () => moveRow(1));
by('row-back').addEventListener('click', () => moveRow(-1));
by('row-again').addEventListener('click', startAgain);
for (const moved of ['input', 'change']) {
  by('block').addEventListener(moved, () => {
    stop();
    go(Number(by('block').value));
  });
}
by('step-back').addEventListener('click', () => stepBlock(-1));
by('step-on').addEventListener('click', () => stepBlock(1));
by('play').addEventListener('click', play);
by('closest').addEventListener('click', toClosest);
by('next-fault').addEventListener('click', toNextFault);
addEventListener('hashchange', showView);
addEventListener('resize', fitAll);
new ResizeObserver(() => fitPictures()).observe(by('whole'));

function recolour() {
  inks = null;
  fitAll();
}

matchMedia('(prefers-color-scheme: dark)').addEventListener('change', recolour);
let beforePrint = 1;
addEventListener('beforeprint', () => {
  stop();
  beforePrint = at;
  at = piece().blocks.length; // the card shows what the cut leaves
  document.body.classList.add('printing');
  recolour();
});
addEventListener('afterprint', () => {
  at = beforePrint;
  document.body.classList.remove('printing');
  recolour();
});

const last = recall(`round ${round}`);
choose(Math.max(0, pieces.findIndex((one) => one.key === last)));
showView();
