// Draws the fern screen: a pierced panel of 400 x 600 mm, for the worked example. Plain arithmetic, no chance
// in it: the same file comes out byte for byte each time.
//
//   node calibration/fern-screen/make-drawing.mjs            writes fern-screen.svg beside this script
//   node calibration/fern-screen/make-drawing.mjs OTHER.svg  writes there
//
// Everything below is in millimetres from the panel's lower left corner, y up, angles counter-clockwise;
// `at` turns y over as a point is written.
import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const WIDTH = 400;
const HEIGHT = 600;

const add = (a, b) => [a[0] + b[0], a[1] + b[1]];
const times = (a, k) => [a[0] * k, a[1] * k];
const along = (angle, size = 1) => [size * Math.cos(angle), size * Math.sin(angle)];
const degrees = (angle) => (angle * Math.PI) / 180;
const mix = (a, b, t) => a + (b - a) * t;
const apart = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);

const number = (v) => String(Number(v.toFixed(3)));
const at = ([x, y]) => `${number(x)} ${number(HEIGHT - y)}`;

const cubicPoint = (p0, p1, p2, p3, t) => {
  const r = 1 - t;
  return add(
    add(times(p0, r * r * r), times(p1, 3 * r * r * t)),
    add(times(p2, 3 * r * t * t), times(p3, t * t * t)),
  );
};

/** A closed path as it grows: its path data, and points along its sides to measure gaps by. */
class Rim {
  constructor(start) {
    this.start = start;
    this.here = start;
    this.parts = [`M${at(start)}`];
    this.points = [];
  }
  line(to) {
    this.parts.push(`L${at(to)}`);
    this.here = to;
    return this;
  }
  /** A cubic that leaves in the direction `out` and arrives travelling in the direction `into`. */
  bend(out, outHandle, to, into, intoHandle) {
    const control1 = add(this.here, along(out, outHandle));
    const control2 = add(to, along(into, -intoHandle));
    for (let i = 0; i < 32; i++) this.points.push(cubicPoint(this.here, control1, control2, to, i / 32));
    this.parts.push(`C${at(control1)} ${at(control2)} ${at(to)}`);
    this.here = to;
    return this;
  }
  /** A circular arc of less than half a turn. */
  arc(radius, to, counterClockwise = true) {
    this.parts.push(`A${number(radius)} ${number(radius)} 0 0 ${counterClockwise ? 0 : 1} ${at(to)}`);
    this.here = to;
    return this;
  }
  /** A circular arc that turns by half of its turn from its start to its chord; counter-clockwise positive. */
  sweep(to, half) {
    const from = this.here;
    const radius = apart(from, to) / (2 * Math.sin(Math.abs(half)));
    const chord = direction(from, to);
    for (let i = 0; i < 32; i++) {
      const angle = (i / 32) * half;
      this.points.push(add(from, along(chord - half + angle, 2 * radius * Math.sin(Math.abs(angle)))));
    }
    return this.arc(radius, to, half > 0);
  }
  close() {
    this.parts.push('Z');
    return this;
  }
  get data() {
    return this.parts.join('');
  }
}

const direction = (a, b) => Math.atan2(b[1] - a[1], b[0] - a[0]);

/** The turn from one direction to another, -pi to pi. */
const turned = (from, to) => Math.atan2(Math.sin(to - from), Math.cos(to - from));

/**
 * A leaflet: a round foot, two sides that are one arc each, a pointed tip. Its axis starts at `base` in the
 * direction `heading` and turns by `bend` over its length. `width` is about the greatest width.
 */
const leaflet = ({ base, heading, length, width, bend, foot }) => {
  const centre = add(base, along(heading, foot));
  const tip = add(base, along(heading + bend / 2, length));
  // Half the width is the rise of an arc, c/2 tan(turn/4), over a chord that runs from the foot to nothing.
  const turn = 4 * Math.atan((width - foot) / (length - foot));
  const flare = 0.53 * turn;
  const left = add(centre, along(heading + Math.PI / 2 + flare, foot));
  const right = add(centre, along(heading - Math.PI / 2 - flare, foot));
  const rightHalf = turned(heading - flare, direction(right, tip));
  const leftHalf = turned(direction(tip, left), heading + flare + Math.PI);
  return new Rim(right).sweep(tip, rightHalf).sweep(left, leftHalf).arc(foot, right).close();
};

/** A rib as one cubic, walked by its length. */
const rib = (p0, p1, p2, p3) => {
  const steps = 4000;
  const points = Array.from({ length: steps + 1 }, (_, i) => cubicPoint(p0, p1, p2, p3, i / steps));
  const lengths = [0];
  for (let i = 1; i <= steps; i++) lengths.push(lengths[i - 1] + apart(points[i], points[i - 1]));
  const index = (s) =>
    Math.max(
      1,
      lengths.findIndex((l) => l >= s),
    );
  return {
    total: lengths[steps],
    at: (s) => points[index(s)],
    heading: (s) => {
      const i = index(s);
      return Math.atan2(points[i][1] - points[i - 1][1], points[i][0] - points[i - 1][0]);
    },
  };
};

/** Distance of p from the line a-b between its ends. */
const fromLine = (p, a, b) => {
  const [x, y] = [b[0] - a[0], b[1] - a[1]];
  const t = ((p[0] - a[0]) * x + (p[1] - a[1]) * y) / (x * x + y * y);
  return apart(p, add(a, times([x, y], Math.min(Math.max(t, 0), 1))));
};

/** Least distance between the sampled rims of two leaflets. */
const gap = (one, other) => {
  let least = Number.POSITIVE_INFINITY;
  for (const p of one.points) {
    for (let i = 1; i < other.points.length; i++) {
      least = Math.min(least, fromLine(p, other.points[i - 1], other.points[i]));
    }
  }
  return least;
};

/**
 * Leaflets in a row, made as wide as the lands allow: every width grows or shrinks until the narrowest land
 * beside the leaflet is the one asked for. `lands[i]` lies between leaflets i and i + 1.
 */
const settled = (row, lands) => {
  const widths = row.map((leaf) => leaf.length * 0.2);
  let rims = [];
  for (let round = 0; round < 60; round++) {
    rims = row.map((leaf, i) => leaflet({ ...leaf, width: widths[i], foot: widths[i] * 0.15 }));
    const spare = lands.map((land, i) => gap(rims[i], rims[i + 1]) - land);
    widths.forEach((width, i) => {
      const room = Math.min(spare[i - 1] ?? Number.POSITIVE_INFINITY, spare[i] ?? Number.POSITIVE_INFINITY);
      widths[i] = Math.min(width + 0.4 * room, row[i].length * row[i].fullest);
    });
  }
  return rims;
};

/** A frond: leaflets alternating on both sides of a rib, closer and shorter towards its tip, and one to end it. */
const frond = (name, curve, plan) => {
  const openings = [];
  for (const side of [1, -1]) {
    const word = side > 0 ? 'left' : 'right';
    const row = plan[word].lengths.map((length, i, all) => {
      const t = i / (all.length - 1);
      const place = mix(plan[word].from, curve.total - plan[word].rest, t ** plan.crowding);
      const angle = degrees(mix(plan.open, plan.shut, t));
      const heading = curve.heading(place) + side * angle;
      const half = mix(plan.ribWidth, plan.ribWidth * 0.6, t) / 2;
      const base = add(curve.at(place), along(heading, half / Math.sin(angle)));
      return { base, heading, length, bend: -side * degrees(plan.lean), fullest: plan.fullest };
    });
    settled(row, plan[word].lands).forEach((rim, i) => {
      openings.push({ id: `${name}-${i + 1}-${word}`, rim });
    });
  }
  const end = curve.total - plan.end.rest;
  openings.push({
    id: `${name}-tip`,
    rim: leaflet({ base: curve.at(end), heading: curve.heading(end), ...plan.end }),
  });
  return openings;
};

/** The foot of a rib as an opening of its own: a long drop, round below and running out to a point. */
const stem = (curve, from, to, width, foot) => {
  const base = curve.at(from);
  const tip = curve.at(to);
  const chord = Math.atan2(tip[1] - base[1], tip[0] - base[0]);
  const bend = 2 * (chord - curve.heading(from));
  return leaflet({ base, heading: curve.heading(from), length: apart(base, tip), width, bend, foot });
};

/**
 * A fiddlehead: a stem that rises from `root` and rolls up; both edges are logarithmic spirals about `pole`,
 * from the direction `start` for six steps, with a round head inside. `hand` 1 rolls counter-clockwise, -1
 * clockwise.
 */
const fiddlehead = ({ root, rise, foot, pole, start, hand, outer, inner, growth }) => {
  const step = degrees(76);
  const steps = 6;
  const edge = (radius, turned) =>
    add(pole, along(start + hand * turned, radius * Math.exp(-growth * turned)));
  const travel = (turned) => start + hand * (turned + Math.PI / 2 + Math.atan(growth));
  const back = (angle) => angle + Math.PI;
  const handle = (radius, turned) =>
    (4 / 3) * Math.tan(step / 4) * radius * Math.exp(-growth * turned) * Math.hypot(1, growth);
  const outside = add(root, along(rise - (hand * Math.PI) / 2, foot));
  const inside = add(root, along(rise + (hand * Math.PI) / 2, foot));
  // A short upper handle: the stem is bent as much as the spiral where it meets it.
  const lower = 0.42 * apart(root, edge(outer, 0));
  const upper = 0.25 * apart(root, edge(outer, 0));
  const rim = new Rim(outside).bend(rise, lower, edge(outer, 0), travel(0), upper);
  for (let i = 1; i <= steps; i++) {
    const [a, b] = [(i - 1) * step, i * step];
    rim.bend(travel(a), handle(outer, a), edge(outer, b), travel(b), handle(outer, b));
  }
  const last = steps * step;
  const [from, to] = [edge(outer, last), edge(inner, last)];
  const radius = apart(from, to) / 2;
  const across = Math.atan2(to[1] - from[1], to[0] - from[0]);
  const crown = add(times(add(from, to), 0.5), along(travel(last), radius * 1.25));
  rim.bend(travel(last), radius * 0.7, crown, across, radius * 0.55);
  rim.bend(across, radius * 0.55, to, back(travel(last)), radius * 0.7);
  for (let i = steps; i > 0; i--) {
    const [a, b] = [i * step, (i - 1) * step];
    rim.bend(back(travel(a)), handle(inner, a), edge(inner, b), back(travel(b)), handle(inner, b));
  }
  rim.bend(back(travel(0)), upper, inside, back(rise), lower);
  rim.arc(foot, add(root, along(rise, -foot)), hand > 0);
  return rim.arc(foot, outside, hand > 0).close();
};

const circleRim = ([x, y], radius) =>
  new Rim([x + radius, y])
    .arc(radius, [x, y + radius])
    .arc(radius, [x - radius, y])
    .arc(radius, [x, y - radius])
    .arc(radius, [x + radius, y])
    .close();

const roundedRim = (width, height, r) =>
  new Rim([r, 0])
    .line([width - r, 0])
    .arc(r, [width, r])
    .line([width, height - r])
    .arc(r, [width - r, height])
    .line([r, height])
    .arc(r, [0, height - r])
    .line([0, r])
    .arc(r, [r, 0])
    .close();

// ---- the composition ----

const great = rib([158, 62], [104, 220], [98, 440], [322, 536]);
const small = rib([258, 62], [232, 180], [258, 315], [352, 378]);

const openings = [
  ...frond('frond', great, {
    crowding: 0.92,
    open: 68,
    shut: 42,
    lean: 20,
    fullest: 0.35,
    ribWidth: 8,
    left: {
      from: 100,
      rest: 58,
      lengths: [80, 97, 107, 110, 108, 103, 96, 88, 79, 68, 56, 43],
      lands: [5, 4, 3.4, 2.7, 2.3, 2.7, 3.6, 4.2, 4.2, 4.2, 4.2],
    },
    right: {
      from: 118,
      rest: 52,
      lengths: [84, 104, 112, 112, 106, 98, 88, 76, 60, 44],
      lands: [4.2, 3.4, 2.6, 2.2, 2.6, 3.4, 4.2, 4.2, 4.2],
    },
    end: { rest: 36, length: 64, width: 14, bend: degrees(-22), foot: 2.2 },
  }),
  ...frond('sprig', small, {
    crowding: 0.92,
    open: 64,
    shut: 40,
    lean: 20,
    fullest: 0.34,
    ribWidth: 7,
    left: { from: 88, rest: 48, lengths: [52, 64, 67, 59, 43], lands: [5, 4.2, 4.2, 4.2] },
    right: { from: 100, rest: 42, lengths: [66, 80, 77, 64, 44], lands: [4.2, 2.8, 3.6, 4.2] },
    end: { rest: 24, length: 44, width: 9.2, bend: degrees(-12), foot: 1.8 },
  }),
  { id: 'frond-stem', rim: stem(great, 0, 92, 7, 1.6) },
  { id: 'sprig-stem', rim: stem(small, 0, 76, 6, 1.4) },
  {
    id: 'fiddlehead-left',
    rim: fiddlehead({
      root: [99, 66],
      rise: degrees(88),
      foot: 2.5,
      pole: [62, 132],
      start: degrees(10),
      hand: 1,
      outer: 33,
      inner: 21,
      growth: 0.14,
    }),
  },
  {
    id: 'fiddlehead-right',
    rim: fiddlehead({
      root: [314, 66],
      rise: degrees(92),
      foot: 2.25,
      pole: [346, 126],
      start: degrees(170),
      hand: -1,
      outer: 28,
      inner: 18,
      growth: 0.14,
    }),
  },
  { id: 'moon', rim: circleRim([74, 524], 36), island: circleRim([81, 530], 23) },
  { id: 'spore-1', at: [352, 470], r: 7 },
  { id: 'spore-2', at: [369, 441], r: 5 },
  { id: 'spore-3', at: [352, 416], r: 3.5 },
  { id: 'sill-1', slot: [44, 30, 68, 12] },
  { id: 'sill-dot-1', at: [128, 36], r: 6 },
  { id: 'sill-2', slot: [144, 30, 112, 12] },
  { id: 'sill-dot-2', at: [272, 36], r: 6 },
  { id: 'sill-3', slot: [288, 30, 68, 12] },
];

const marks = [
  { id: 'A', at: [18, 18], r: 1.5 },
  { id: 'B', at: [384, 24], r: 1.5 },
  { id: 'C', at: [378, 582], r: 1.5 },
  { id: 'D', at: [16, 562], r: 1.5 },
];

const element = ({ id, rim, island, slot, at: centre, r }) => {
  if (rim) return `    <path id="${id}" d="${rim.data}${island?.data ?? ''}"/>`;
  if (slot) {
    const [x, y, w, h] = slot.map(Number);
    return `    <rect id="${id}" x="${number(x)}" y="${number(HEIGHT - y - h)}" width="${number(w)}" height="${number(h)}" rx="${number(h / 2)}"/>`;
  }
  return `    <circle id="${id}" cx="${number(centre[0])}" cy="${number(HEIGHT - centre[1])}" r="${number(r)}"/>`;
};

const svg = `<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" width="${WIDTH}mm" height="${HEIGHT}mm" viewBox="0 0 ${WIDTH} ${HEIGHT}">
  <title>Fern screen</title>
  <g id="outline" fill="#33443c">
${element({ id: 'panel', rim: roundedRim(WIDTH, HEIGHT, 20) })}
  </g>
  <g id="openings" fill="#f6f1e4" fill-rule="evenodd">
${openings.map(element).join('\n')}
  </g>
  <g id="marks" fill="none" stroke="#f6f1e4" stroke-width="0.4">
${marks.map(element).join('\n')}
  </g>
</svg>
`;

const target = process.argv[2] ?? fileURLToPath(new URL('fern-screen.svg', import.meta.url));
writeFileSync(target, svg);
