// Elements, and what a section's pieces are drawn from.

function make(tag, attributes = {}, ...children) {
  const e = document.createElement(tag);
  for (const [key, value] of Object.entries(attributes)) {
    if (key === "class") e.className = value;
    else if (key.startsWith("on")) e.addEventListener(key.slice(2), value);
    else if (value === true) e.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) e.setAttribute(key, value);
  }
  e.append(...children.filter((c) => c !== null && c !== undefined));
  return e;
}

function svg(tag, attributes = {}, ...children) {
  const e = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [key, value] of Object.entries(attributes)) e.setAttribute(key, value);
  e.append(...children);
  return e;
}

// Text that stays readable over anything.
function label(x, y, text, attributes = {}) {
  return svg("text", { x, y, "font-size": 17, "paint-order": "stroke", stroke: "var(--ground)", "stroke-width": 4,
    "stroke-linejoin": "round", ...attributes }, text);
}

function fittedText(text, most) {
  return text.length <= most ? text : `${text.slice(0, most - 1)}…`;
}

// Points of a piece of a section or a contour (see walk.hpp), with unit normals to the left of travel.
function piecePoints(piece, arcSteps) {
  if (piece[0] === 1) {
    const [, , , , , cx, cy, r, a, sweep] = piece, out = [];
    const side = sweep > 0 ? -1 : 1;
    for (let i = 0; i <= arcSteps; i++) {
      const t = a + sweep * i / arcSteps, c = Math.cos(t), s = Math.sin(t);
      out.push({ x: cx + r * c, y: cy + r * s, nx: side * c, ny: side * s });
    }
    return out;
  }
  const out = [];
  const count = (piece.length - 1) / 2;
  for (let i = 0; i < count; i++) {
    const before = Math.max(0, i - 1), after = Math.min(count - 1, i + 1);
    const dx = piece[1 + 2 * after] - piece[1 + 2 * before], dy = piece[2 + 2 * after] - piece[2 + 2 * before];
    const len = Math.hypot(dx, dy) || 1;
    out.push({ x: piece[1 + 2 * i], y: piece[2 + 2 * i], nx: -dy / len, ny: dx / len });
  }
  return out;
}

// An SVG path of pieces, X and Y as functions of the place.
function piecesPath(pieces, X, Y, scale, continued = false) {
  let d = "";
  for (const p of pieces) {
    const start = `${X(p[1])} ${Y(p[2])}`;
    d += d === "" && !continued ? `M${start}` : `L${start}`;
    if (p[0] === 0) d += `L${X(p[3])} ${Y(p[4])}`;
    else if (p[0] === 1 && Math.abs(p[9]) < 6.28) {
      const r = p[7] * scale;
      d += `A${r} ${r} 0 ${Math.abs(p[9]) > Math.PI ? 1 : 0} ${p[9] > 0 ? 0 : 1} ${X(p[3])} ${Y(p[4])}`;
    } else for (const q of piecePoints(p, 64)) d += `L${X(q.x)} ${Y(q.y)}`;
  }
  return d;
}

function contourLength(piece) {
  return piece[0] === 1 ? piece[7] * Math.abs(piece[9]) : Math.hypot(piece[3] - piece[1], piece[4] - piece[2]);
}

// A contour that can be asked for places along it.
function contourOf(walk) {
  const starts = [0];
  for (const p of walk.contour) starts.push(starts[starts.length - 1] + contourLength(p));
  const total = starts[starts.length - 1];
  return {
    total,
    at(s) {
      if (walk.closed) s = ((s % total) + total) % total;
      let i = 0;
      while (i + 1 < walk.contour.length && starts[i + 1] <= s) i++;
      const p = walk.contour[i], t = Math.min(1, Math.max(0, (s - starts[i]) / (starts[i + 1] - starts[i])));
      let x, y, tx, ty, curvature = 0;
      if (p[0] === 1) {
        const angle = p[8] + p[9] * t, sign = Math.sign(p[9]);
        x = p[5] + p[7] * Math.cos(angle); y = p[6] + p[7] * Math.sin(angle);
        tx = -sign * Math.sin(angle); ty = sign * Math.cos(angle);
        curvature = 1 / p[7];
      } else {
        const len = Math.hypot(p[3] - p[1], p[4] - p[2]);
        x = p[1] + (p[3] - p[1]) * t; y = p[2] + (p[4] - p[2]) * t;
        tx = (p[3] - p[1]) / len; ty = (p[4] - p[2]) / len;
      }
      const side = walk.left ? 1 : -1;
      return { x, y, tx, ty, nx: -ty * side, ny: tx * side, curvature };
    },
  };
}

// Stations as objects.
function stationsOf(walk) {
  return walk.stations.map((row) => Object.fromEntries(walk.columns.map((c, i) => [c, row[i]])));
}

function nearestStation(stations, s) {
  let best = 0;
  for (let i = 1; i < stations.length; i++)
    if (Math.abs(stations[i].s - s) < Math.abs(stations[best].s - s)) best = i;
  return best;
}

// Depth of the section's outline below the face at u.
function heightAt(pieces, u) {
  for (const p of pieces) {
    const last = p[0] === 2 ? p[p.length - 2] : p[3];
    if (u > last) continue;
    if (p[0] === 0) return p[3] === p[1] ? p[4] : p[2] + (p[4] - p[2]) * (u - p[1]) / (p[3] - p[1]);
    if (p[0] === 1) {
      const middle = p[8] + p[9] / 2, up = Math.sin(middle) >= 0 ? 1 : -1;
      return p[6] + up * Math.sqrt(Math.max(0, p[7] * p[7] - (u - p[5]) * (u - p[5])));
    }
    for (let i = 3; i < p.length; i += 2)
      if (u <= p[i]) {
        const run = p[i] - p[i - 2];
        return run > 0 ? p[i - 1] + (p[i + 1] - p[i - 1]) * (u - p[i - 2]) / run : p[i + 1];
      }
  }
  return 0;
}
