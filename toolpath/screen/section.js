// The section, exact: the stock less the insert's path stroked at its diameter, block by block.
const [LINE, KIND, X1, Z1, X2, Z2, XC, ZC, RADIUS, START, SWEEP, FEED, RPM1, RPM2, SECONDS, GAP, SHARE, GAP_X, GAP_Z] = Array(19).keys();
const RAPID = 0;

/** Where the insert's centre is at a share of a block, [x, z] in mm. */
function centreAt(block, share) {
  if (block[RADIUS] !== null && share < 1) {
    const angle = block[START] + share * block[SWEEP];
    return [block[XC] + block[RADIUS] * Math.cos(angle), block[ZC] + block[RADIUS] * Math.sin(angle)];
  }
  const x1 = block[X1] ?? block[X2];
  const z1 = block[Z1] ?? block[Z2];
  return [x1 + share * (block[X2] - x1), z1 + share * (block[Z2] - z1)];
}

/** The path of a block up to a share of it. */
function tracePath(ctx, block, share) {
  const [x, z] = centreAt(block, 0);
  ctx.moveTo(x, z);
  if (block[RADIUS] !== null) ctx.arc(block[XC], block[ZC], block[RADIUS], block[START], block[START] + share * block[SWEEP], block[SWEEP] < 0);
  ctx.lineTo(...centreAt(block, share));
}

/** The segments of a section, from where the path stands. */
function traceSection(ctx, segments) {
  for (const [r1, z1, r2, z2, rc, zc, radius, t1, t2] of segments) {
    ctx.lineTo(r1, z1);
    if (radius === undefined) ctx.lineTo(r2, z2);
    else ctx.arc(rc, zc, radius, t1, t2, t2 < t1);
  }
}

class Picture {
  constructor(canvas) {
    this.canvas = canvas;
    this.metal = document.createElement('canvas'); // what stands after `done` blocks, in plain ink
    this.now = document.createElement('canvas'); // the same with the share of the block under way
    this.layer = document.createElement('canvas');
    this.done = -1;
  }

  /** Show r and z from lo to hi of a piece, mm. */
  frame(shown, r, z) {
    this.piece = shown;
    this.bounds = { r, z };
    this.fit();
  }

  fit() {
    const { canvas } = this;
    const ratio = devicePixelRatio || 1;
    const [wide, tall] = [Math.round(canvas.clientWidth * ratio), Math.round(canvas.clientHeight * ratio)];
    if (!wide || !tall) return false;
    for (const one of [canvas, this.metal, this.now, this.layer]) {
      one.width = wide;
      one.height = tall;
    }
    const { r, z } = this.bounds;
    this.px = ratio;
    this.scale = Math.min(wide / (z[1] - z[0]), tall / (r[1] - r[0]));
    this.x0 = (wide - this.scale * (z[0] + z[1])) / 2;
    this.y0 = (tall + this.scale * (r[0] + r[1])) / 2;
    Object.assign(canvas.dataset, { scale: this.scale, x0: this.x0, y0: this.y0 });
    this.done = -1;
    return true;
  }

  /** Draw in (r, z): r upwards, z to the right, the chuck at the left. */
  toSection(ctx, mirrored = false) {
    const turn = mirrored ? -1 : 1;
    ctx.setTransform(0, -turn * this.scale, this.scale, 0, this.x0, this.y0);
  }

  body(ctx, segments, mirrored) {
    this.toSection(ctx, mirrored);
    const low = -this.x0 / this.scale - 1;
    ctx.beginPath();
    ctx.moveTo(-0.1, low); // a little over the axis, so that no seam shows
    ctx.lineTo(-0.1, segments[0][1]);
    traceSection(ctx, segments);
    ctx.lineTo(segments.at(-1)[2], low);
    ctx.closePath();
  }

  /** Take away what the insert passes; the work turns, so on both sides of the axis. */
  take(ctx, block, share) {
    ctx.globalCompositeOperation = 'destination-out';
    ctx.lineWidth = 2 * this.piece.radius;
    ctx.lineCap = ctx.lineJoin = 'round';
    const [x, z] = centreAt(block, share);
    for (const mirrored of [false, true]) {
      this.toSection(ctx, mirrored);
      ctx.beginPath();
      tracePath(ctx, block, share);
      ctx.stroke();
      ctx.beginPath();
      ctx.arc(x, z, this.piece.radius, 0, 7); // a block without length
      ctx.fill();
    }
    ctx.globalCompositeOperation = 'source-over';
  }

  /** Bring the metal to the end of so many blocks. */
  bring(count) {
    const ctx = this.metal.getContext('2d');
    if (this.done < 0 || count < this.done) {
      ctx.setTransform(1, 0, 0, 1, 0, 0);
      ctx.clearRect(0, 0, this.metal.width, this.metal.height);
      ctx.fillStyle = inksNow().ink;
      for (const mirrored of [false, true]) {
        this.body(ctx, this.piece.stock, mirrored);
        ctx.fill();
      }
      this.done = 0;
    }
    for (; this.done < count; this.done += 1) this.take(ctx, this.piece.blocks[this.done], 1);
  }

  /** Everything at a place of the program: whole blocks done and a share of the next. */
  draw(at) {
    if (!this.canvas.clientWidth || (!this.scale && !this.fit())) return;
    const count = Math.min(Math.floor(at), this.piece.blocks.length);
    const share = at - count;
    this.bring(count);
    const ctx = this.canvas.getContext('2d');
    const inks = inksNow();
    ctx.setTransform(1, 0, 0, 1, 0, 0);
    ctx.fillStyle = inks.paper;
    ctx.fillRect(0, 0, this.canvas.width, this.canvas.height);
    this.moment(count, share);
    this.drawMetal(ctx, inks);
    if (this.piece.found.length) this.drawTooDeep(ctx, inks);
    this.drawLines(ctx, inks);
    this.drawInsert(ctx, inks, at);
    this.drawPath(ctx, inks, at);
    this.drawTool(ctx, inks, at);
    if (this.piece.found.length) this.drawFlags(ctx, inks, at);
  }

  /** The metal of this moment, in plain ink. */
  moment(count, share) {
    const ctx = this.now.getContext('2d');
    ctx.setTransform(1, 0, 0, 1, 0, 0);
    ctx.globalCompositeOperation = 'copy';
    ctx.drawImage(this.metal, 0, 0);
    ctx.globalCompositeOperation = 'source-over';
    if (share > 0) this.take(ctx, this.piece.blocks[count], share);
  }

  /** Put the metal of this moment on the layer by an operation, moved by `edge` to all four sides. */
  masked(operation, edge) {
    const ctx = this.layer.getContext('2d');
    ctx.setTransform(1, 0, 0, 1, 0, 0);
    ctx.globalCompositeOperation = operation;
    for (const [dx, dy] of [[edge, 0], [-edge, 0], [0, edge], [0, -edge]]) ctx.drawImage(this.now, dx, dy);
    return ctx;
  }

  /** The metal: its outline in ink, plain where it goes and hatched where it stays. */
  drawMetal(ctx, inks) {
    const { width, height } = this.layer;
    ctx.drawImage(this.now, 0, 0);
    const layer = this.clear();
    layer.drawImage(this.now, 0, 0);
    this.masked('destination-in', 1.2 * this.px);
    layer.globalCompositeOperation = 'source-in';
    layer.fillStyle = inks.pale;
    layer.fillRect(0, 0, width, height);
    layer.globalCompositeOperation = 'source-atop';
    for (const mirrored of [false, true]) {
      layer.save();
      this.body(layer, this.piece.finished, mirrored);
      layer.clip();
      layer.setTransform(1, 0, 0, 1, 0, 0);
      layer.fillStyle = inks.hatch(layer, this.px);
      layer.fillRect(0, 0, width, height);
      layer.restore();
    }
    layer.globalCompositeOperation = 'source-over';
    ctx.drawImage(this.layer, 0, 0);
  }

  /** What is gone of the finished part, chequered; what is only the softness of an edge is no fault. */
  drawTooDeep(ctx, inks) {
    const layer = this.clear();
    for (const mirrored of [false, true]) {
      this.body(layer, this.piece.finished, mirrored);
      layer.fill();
    }
    this.masked('destination-out', 0);
    this.masked('destination-out', this.px);
    layer.globalCompositeOperation = 'source-in';
    layer.fillStyle = inks.chequer(layer, this.px);
    layer.fillRect(0, 0, this.layer.width, this.layer.height);
    layer.globalCompositeOperation = 'source-over';
    ctx.drawImage(this.layer, 0, 0);
  }

  clear() {
    const layer = this.layer.getContext('2d');
    layer.setTransform(1, 0, 0, 1, 0, 0);
    layer.globalCompositeOperation = 'source-over';
    layer.clearRect(0, 0, this.layer.width, this.layer.height);
    return layer;
  }

  /** The finished section, its line on the side of the metal, and the axis. */
  drawLines(ctx, inks) {
    ctx.strokeStyle = inks.ink;
    for (const mirrored of [false, true]) {
      ctx.save();
      this.body(ctx, this.piece.finished, mirrored);
      ctx.clip();
      ctx.lineWidth = (3 * this.px) / this.scale; // half of it is seen
      ctx.beginPath();
      ctx.moveTo(0, this.piece.finished[0][1]);
      traceSection(ctx, this.piece.finished);
      ctx.stroke();
      ctx.restore();
    }
    ctx.setLineDash([18, 4, 2, 4].map((one) => one * this.px));
    ctx.setTransform(1, 0, 0, 1, 0, 0);
    ctx.lineWidth = this.px;
    ctx.beginPath();
    ctx.moveTo(0, this.y0);
    ctx.lineTo(this.canvas.width, this.y0);
    ctx.stroke();
    ctx.setLineDash([]);
  }

  drawPath(ctx, inks, at) {
    const last = Math.ceil(at) - 1;
    this.toSection(ctx);
    ctx.strokeStyle = inks.tool;
    ctx.lineCap = 'butt';
    for (let k = Math.max(0, last - 6); k <= last; k += 1) {
      const block = this.piece.blocks[k];
      const dash = block[KIND] === RAPID ? [7, 5] : [];
      ctx.setLineDash(dash.map((one) => (one * this.px) / this.scale));
      ctx.lineWidth = ((k === last ? 3 : 1.2) * this.px) / this.scale;
      ctx.beginPath();
      tracePath(ctx, block, k === last ? at - k : 1);
      ctx.stroke();
    }
    ctx.setLineDash([]);
  }

  /** Where the tool is: its block, and the insert's centre. */
  tool(at) {
    const k = Math.max(0, Math.ceil(at) - 1);
    const block = this.piece.blocks[k];
    return [block, ...centreAt(block, at - k)];
  }

  drawInsert(ctx, inks, at) {
    const [, x, z] = this.tool(at);
    this.toSection(ctx);
    ctx.beginPath();
    ctx.arc(x, z, this.piece.radius, 0, 7);
    ctx.fillStyle = inks.paper;
    ctx.fill();
    ctx.strokeStyle = inks.tool;
    ctx.lineWidth = (3 * this.px) / this.scale;
    ctx.stroke();
  }

  /** The holder, the insert's centre, and where the holder comes closest. */
  drawTool(ctx, inks, at) {
    const [block, x, z] = this.tool(at);
    this.toSection(ctx);
    ctx.strokeStyle = inks.tool;
    const px = this.px / this.scale;
    if (this.piece.holder) {
      ctx.beginPath();
      this.piece.holder.forEach(([dx, dz], n) => (n ? ctx.lineTo(x + dx, z + dz) : ctx.moveTo(x + dx, z + dz)));
      ctx.closePath();
      ctx.setLineDash([9 * px, 5 * px]);
      ctx.lineWidth = 2.4 * px;
      ctx.stroke();
      ctx.setLineDash([]);
    }
    const arm = 6 * px;
    ctx.beginPath();
    for (const [dx, dz] of [[arm, 0], [0, arm]]) {
      ctx.moveTo(x - dx, z - dz);
      ctx.lineTo(x + dx, z + dz);
    }
    if (block[GAP] !== null) {
      const [gx, gz, half] = [block[GAP_X], block[GAP_Z], 5 * px];
      for (const side of [1, -1]) {
        ctx.moveTo(gx - half, gz - side * half);
        ctx.lineTo(gx + half, gz + side * half);
      }
    }
    ctx.lineWidth = 2 * px;
    ctx.stroke();
    const [sx, sy] = [this.x0 + this.scale * z, this.y0 - this.scale * x];
    const reach = this.scale * this.piece.radius;
    if (document.body.classList.contains('printing')) return;
    if (sx - reach > this.canvas.width || sy - reach > this.canvas.height || sx + reach < 0 || sy + reach < 0) {
      this.word(ctx, inks, 'the insert is outside this picture', this.canvas.width / 2, 18 * this.px, 'center');
    }
  }

  /** A flag with a mark of exclamation at the end of every block with a fault. */
  drawFlags(ctx, inks, at) {
    const bad = new Set(this.piece.found.map(([place]) => place));
    ctx.setTransform(1, 0, 0, 1, 0, 0);
    this.piece.blocks.forEach((block, k) => {
      if (k >= at || !bad.has(block[LINE])) return;
      const x = this.x0 + this.scale * (block[Z2] - this.piece.radius);
      const y = this.y0 - this.scale * block[X2];
      const side = 26 * this.px;
      ctx.beginPath();
      ctx.moveTo(x, y);
      ctx.lineTo(x + 0.5 * side, y - side);
      ctx.lineTo(x - 0.5 * side, y - side);
      ctx.closePath();
      ctx.fillStyle = inks.ink;
      ctx.fill();
      ctx.strokeStyle = inks.paper;
      ctx.lineWidth = 2 * this.px;
      ctx.stroke();
      ctx.fillStyle = inks.paper;
      ctx.font = `700 ${17 * this.px}px sans-serif`;
      ctx.textAlign = 'center';
      ctx.fillText('!', x, y - 0.42 * side);
    });
  }

  word(ctx, inks, text, x, y, align) {
    ctx.setTransform(1, 0, 0, 1, 0, 0);
    ctx.font = `700 ${15 * this.px}px sans-serif`;
    ctx.textAlign = align;
    ctx.lineWidth = 5 * this.px;
    ctx.lineJoin = 'round';
    ctx.strokeStyle = inks.paper;
    ctx.strokeText(text, x, y);
    ctx.fillStyle = inks.ink;
    ctx.fillText(text, x, y);
  }
}

let inks = null;

/** The page's colours and the patterns made of them; they change with light, dark and print. */
function inksNow() {
  if (inks) return inks;
  const style = getComputedStyle(document.body);
  const colour = (name) => style.getPropertyValue(`--${name}`).trim();
  inks = { paper: colour('paper'), ink: colour('ink'), pale: colour('pale'), tool: colour('tool') };
  const patterns = new Map();
  const tiled = (name, size, paint) => (ctx, px) => {
    const side = Math.round(size * px);
    const id = `${name} ${side}`;
    if (!patterns.has(id)) {
      const tile = document.createElement('canvas');
      tile.width = tile.height = side;
      paint(tile.getContext('2d'), side, px);
      patterns.set(id, ctx.createPattern(tile, 'repeat'));
    }
    return patterns.get(id);
  };
  inks.hatch = tiled('hatch', 9, (ctx, side, px) => {
    ctx.strokeStyle = inks.ink;
    ctx.lineWidth = 0.9 * px;
    ctx.beginPath();
    for (const shift of [-side, 0, side]) {
      ctx.moveTo(shift - 1, side + 1);
      ctx.lineTo(shift + side + 1, -1);
    }
    ctx.stroke();
  });
  inks.chequer = tiled('chequer', 6, (ctx, side) => {
    ctx.fillStyle = inks.paper;
    ctx.fillRect(0, 0, side, side);
    ctx.fillStyle = inks.ink;
    ctx.fillRect(0, 0, side / 2, side / 2);
    ctx.fillRect(side / 2, side / 2, side / 2, side / 2);
  });
  return inks;
}
