// The finished edge as triangles: the sections of the stations, joined along the contour.

const kArcSteps = 24;

// An edge that is measured from the lower face alone: its sections lie with that face on top.
function liesTurned(walk) { return walk.folded && walk.face === "bottom" && !walk.both; }

// As many points for a sampled curve as for an arc, so that the sections of neighbouring stations can be joined.
function evenPoints(piece) {
  const points = piecePoints(piece, kArcSteps);
  if (piece[0] !== 2) return points;
  const along = [0];
  for (let i = 1; i < points.length; i++) along.push(along[i - 1] + Math.hypot(points[i].x - points[i - 1].x, points[i].y - points[i - 1].y));
  const out = [];
  for (let k = 0, i = 0; k <= kArcSteps; k++) {
    const want = along[along.length - 1] * k / kArcSteps;
    while (i + 2 < points.length && along[i + 1] < want) i++;
    out.push(mixPoints(points[i], points[i + 1], Math.min(1, (want - along[i]) / (along[i + 1] - along[i] || 1))));
  }
  return out;
}

function mixPoints(p, q, t) {
  return { x: p.x + (q.x - p.x) * t, y: p.y + (q.y - p.y) * t, nx: p.nx + (q.nx - p.nx) * t, ny: p.ny + (q.ny - p.ny) * t };
}

// A section's outline all the way round from its inner end below to its inner end above and down again, each piece with
// points and normals of its own, so that joints stay sharp. A folded section goes that way by itself; of others the
// lower face and the wall are added.
function outlineRuns(walk, pieces, thickness) {
  const runs = pieces.map(evenPoints);
  if (!runs.length) return runs;
  const first = runs[0][0], end = runs[runs.length - 1], last = end[end.length - 1];
  const straight = (x0, y0, x1, y1) => piecePoints([0, x0, y0, x1, y1], 1);
  if (walk.folded) return [...runs, straight(last.x, last.y, first.x, first.y)];
  return [straight(last.x, -thickness, first.x, -thickness), straight(first.x, -thickness, first.x, first.y), ...runs,
    straight(last.x, last.y, last.x, -thickness)];
}

// The outlines of a station's section: its own side, and of a slot that does not go through the other wall's too. That
// one comes mirrored, so that its normals have to be turned about.
function outlinesAt(walk, station, thickness) {
  const own = outlineRuns(walk, walk.sections[station.section], thickness);
  if (station.across === null || station.across === undefined) return [own];
  const across = outlineRuns(walk, walk.sections[station.across], thickness)
    .map((run) => run.map((p) => ({ ...p, nx: -p.nx, ny: -p.ny })));
  // Where the two hang together there is no surface.
  const joined = joinedAtLine({ pieces: walk.sections[station.section], across: walk.sections[station.across] });
  for (const run of [...own, ...across]) {
    const heights = run.map((p) => p.y);
    run.within = run.every((p) => p.x === 0) && joined.some(([lo, hi]) => lo - 1e-6 <= Math.min(...heights) && Math.max(...heights) <= hi + 1e-6);
  }
  return [own, across];
}

function signature(runs) { return runs.map((r) => r.length).join(","); }

// Triangles of the edge from the cut at s0 on, `reach` mm away from the one who looks: the part lies on the right. Places
// are relative to the contour's point at s0. triangulate(points) gives triples of indices into an outline's points.
function edgeMesh(walk, stations, settings, s0, reach, triangulate) {
  // A sheet on its other face has been turned about X, so that left and right change places.
  const mirror = liesTurned(walk) ? -1 : 1;
  const line = contourOf(walk), way = walk.left === (mirror > 0) ? -1 : 1;
  const sAt = (q) => { const s = s0 + way * q; return walk.closed ? ((s % line.total) + line.total) % line.total : s; };
  const frameAt = (q) => {
    const f = line.at(sAt(q));
    return { ...f, y: mirror * f.y, tx: way * f.tx, ty: mirror * way * f.ty, ny: mirror * f.ny };
  };
  const sidesAt = (q) => outlinesAt(walk, stations[nearestStation(stations, sAt(q))], settings.thickness);
  const runsAt = (q) => sidesAt(q).flat();
  const origin = frameAt(0);
  const positions = [], normals = [], inward = [], across = [], faces = [];
  const vertex = (frame, p, cap) => {
    positions.push(frame.x + frame.nx * p.x - origin.x, frame.y + frame.ny * p.x - origin.y, p.y);
    if (cap) normals.push(cap * frame.tx, cap * frame.ty, 0);
    else normals.push(frame.nx * p.nx, frame.ny * p.nx, p.ny);
    inward.push(frame.nx, frame.ny);
    across.push(p.x, cap ? 1 : 0);
    return positions.length / 3 - 1;
  };
  const to = walk.closed ? Math.min(reach, line.total * 0.95) : Math.min(reach, way > 0 ? line.total - s0 : s0);
  const places = [0, to];
  for (const turn of walk.closed ? [-line.total, 0, line.total] : [0])
    for (const s of stations) {
      const q = way * (s.s + turn - s0);
      if (q > 1e-6 && q < to - 1e-6) places.push(q);
    }
  places.sort((a, b) => a - b);

  const strip = (frameA, runsA, frameB, runsB, within) => {
    for (let i = 0; i < runsA.length; i++) {
      if (within[i]) continue;
      const a = runsA[i].map((p) => vertex(frameA, p)), b = runsB[i].map((p) => vertex(frameB, p));
      for (let k = 0; k + 1 < a.length; k++) faces.push(a[k], b[k], a[k + 1], a[k + 1], b[k], b[k + 1]);
    }
  };
  let before = { q: 0, runs: runsAt(0), frame: origin };
  for (const q of places.slice(1)) {
    const runs = runsAt(q), frame = frameAt(q);
    // Where the section changes its kind between two stations, the first one's is kept up to the second.
    const target = signature(before.runs) === signature(runs) ? runs : before.runs;
    const steps = Math.max(1, Math.ceil((q - before.q) * Math.max(before.frame.curvature, frame.curvature) / 0.04));
    const within = before.runs.map((run) => run.within);
    let lastFrame = before.frame, lastRuns = before.runs;
    for (let k = 1; k <= steps; k++) {
      const f = frameAt(before.q + (q - before.q) * k / steps);
      const r = before.runs.map((run, i) => run.map((p, n) => mixPoints(p, target[i][n], k / steps)));
      strip(lastFrame, lastRuns, f, r, within);
      lastFrame = f; lastRuns = r;
    }
    before = { q, runs, frame };
  }
  const cap = (q, sign) => {
    const frame = frameAt(q);
    for (const side of sidesAt(q)) {
      const points = side.flat().filter((p, i, all) => {
        const last = all[(i + all.length - 1) % all.length];
        return Math.hypot(p.x - last.x, p.y - last.y) > 1e-7;
      });
      if (points.length < 3) continue;
      const at = points.map((p) => vertex(frame, p, sign));
      for (const triangle of triangulate(points)) faces.push(...triangle.map((i) => at[i]));
    }
  };
  cap(0, -1);
  cap(to, 1);
  return { positions, normals, inward, across, faces, frame: origin };
}

// At `samples` places over [low, low + span] the heights between which there is material, lower then upper pair: what
// shades a ray of light. Of more than two pairs the rest count as one with the second.
function bodyHeights(walk, pieces, low, span, samples) {
  const out = new Float32Array(4 * samples), none = [1e3, -1e3];
  const chords = [];
  if (walk.folded)
    for (const p of pieces) {
      const points = piecePoints(p, 64);
      for (let i = 0; i + 1 < points.length; i++) chords.push([points[i], points[i + 1]]);
    }
  for (let i = 0; i < samples; i++) {
    const u = low + span * (i + 0.5) / samples;
    let heights = [-1e3, heightAt(pieces, u)];
    if (walk.folded)
      heights = chords.filter(([a, b]) => (a.x <= u) !== (b.x <= u)).map(([a, b]) => a.y + (b.y - a.y) * (u - a.x) / (b.x - a.x)).sort((a, b) => a - b);
    const lower = heights.length > 1 ? heights.slice(0, 2) : none;
    const upper = heights.length > 3 ? [heights[2], heights[heights.length - 1]] : none;
    out.set([...lower, ...upper], 4 * i);
  }
  return out;
}
