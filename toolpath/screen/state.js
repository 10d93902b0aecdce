// What every view shares: the pistons of the page, the one that is shown, and what the browser keeps.
const pieces = JSON.parse(document.getElementById('data').textContent);
const round = pieces.map((one) => one.key.slice(0, 16)).join(' ');
const kept = new Map(); // stands in where the browser keeps nothing
let keeps = true;
let shownPiece = 0;

const piece = () => pieces[shownPiece];
const by = (id) => document.getElementById(id);
const minus = (text) => text.replace(/^-/, '\u2212');

/** An element with text in it; nothing from a job is ever read as markup. */
function made(tag, text = '', className = '') {
  const element = document.createElement(tag);
  element.textContent = text;
  element.className = className;
  return element;
}

function recall(name) {
  try {
    const value = localStorage.getItem(`dishpath ${name}`);
    if (value !== null) return value;
  } catch {
    keeps = false;
  }
  return kept.get(name) ?? null;
}

function keep(name, value) {
  kept.set(name, String(value));
  try {
    localStorage.setItem(`dishpath ${name}`, String(value));
  } catch {
    keeps = false;
  }
}

/** A length of the section (mm) as the program writes it. */
const length = (mm) => `${minus((mm * piece().factor).toFixed(piece().decimals))} ${piece().unit}`;

/** Make a figure as large as its place allows. */
function fitted(element) {
  element.style.fontSize = '';
  const room = element.clientWidth;
  if (room && element.scrollWidth > room) {
    const size = parseFloat(getComputedStyle(element).fontSize);
    element.style.fontSize = `${Math.floor((size * room) / element.scrollWidth) - 1}px`;
  }
}

function figure(id, text, unit) {
  const longer = by(id).textContent.length !== text.length; // the digits are all of one width
  by(id).textContent = minus(text);
  by(`${id}-unit`).textContent = unit;
  if (longer) fitted(by(id));
}
