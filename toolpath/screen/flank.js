// What happens below the cutting edge, seen along the spindle: flank, curve of the work, grinding line.
function drawFlank(canvas) {
  const below = piece().below;
  by('below-figure').hidden = !below;
  if (!below || !canvas.clientWidth) return;
  by('below-lines').replaceChildren(...below.lines.map((text) => made('li', text)));
  const px = devicePixelRatio || 1;
  const [wide, tall] = [Math.round(canvas.clientWidth * px), Math.round(canvas.clientHeight * px)];
  canvas.width = wide;
  canvas.height = tall;
  const ctx = canvas.getContext('2d');
  const { paper, ink, pale, tool, hatch } = inksNow();
  const { low, wall, lean, thick, template, contact } = below;
  const curve = (h) => wall - Math.sqrt(wall * wall - h * h); // how far the work has come in
  const backAt = (h) => {
    const k = Math.max(1, template.findIndex(([down]) => down >= h));
    const [[h1, b1], [h2, b2]] = [template[k - 1], template[k]];
    return b1 + ((b2 - b1) * (h - h1)) / (h2 - h1);
  };
  const left = Math.max(curve(low), backAt(low)) + 0.45 * low;
  const right = 0.3 * low;
  const scale = Math.min((tall - 40 * px) / low, (wide - 20 * px) / (left + right));
  const x0 = (wide + scale * (left - right)) / 2;
  const y0 = 26 * px;
  const x = (inward) => x0 - scale * inward;
  const y = (down) => y0 + scale * down;
  const line = (points, width, dash = []) => {
    ctx.beginPath();
    points.forEach(([inward, down], k) => (k ? ctx.lineTo(x(inward), y(down)) : ctx.moveTo(x(inward), y(down))));
    ctx.lineWidth = width * px;
    ctx.setLineDash(dash.map((one) => one * px));
    ctx.stroke();
    ctx.setLineDash([]);
  };
  const steps = [...Array(61).keys()].map((k) => (low * k) / 60);
  ctx.fillStyle = paper;
  ctx.fillRect(0, 0, wide, tall);
  ctx.beginPath();
  for (const h of steps) ctx.lineTo(x(curve(h)), y(h));
  ctx.lineTo(x(-right), y(low));
  ctx.lineTo(x(-right), y(0));
  for (const fill of [pale, hatch(ctx, px)]) {
    ctx.fillStyle = fill;
    ctx.fill();
  }
  ctx.strokeStyle = ink;
  line(steps.map((h) => [curve(h), h]), 2);
  line([[left, 0], [-right, 0]], 1, [18, 4, 2, 4]); // through the spindle axis, at the height of the edge
  const foot = Math.min(thick ?? low, low);
  ctx.strokeStyle = tool;
  line([[left, 0], [0, 0], [foot * lean, foot], [left, foot]], 3);
  if (foot < low) line([[foot * lean, foot], [low * lean, low]], 1.2, [5, 4]);
  ctx.strokeStyle = ink;
  line(steps.filter((h) => h >= foot && backAt(h) >= curve(h)).map((h) => [backAt(h), h]), 3.4, [11, 7]);
  if (below.height !== null && below.back !== null) {
    const end = Math.min(below.height, low);
    line([[below.back, foot], [below.back, end], [left, end]], 2.4, [9, 5]);
  }
  if (contact <= low) {
    ctx.beginPath();
    ctx.arc(x(contact * lean), y(contact), 5 * px, 0, 7);
    ctx.lineWidth = 2 * px;
    ctx.stroke();
  }
  ctx.font = `700 ${15 * px}px sans-serif`;
  const word = (text, across, down, align) => {
    ctx.textAlign = align;
    ctx.lineWidth = 5 * px;
    ctx.lineJoin = 'round';
    ctx.strokeStyle = paper;
    ctx.strokeText(text, across, down);
    ctx.fillStyle = ink;
    ctx.fillText(text, across, down);
  };
  word('insert', x(left) + 6 * px, y(0) + 18 * px, 'left');
  word('work', x(-right) - 6 * px, y(0) - 8 * px, 'right');
  canvas.setAttribute('aria-label', below.lines.join('; '));
}
