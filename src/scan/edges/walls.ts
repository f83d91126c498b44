/**
 * Walls of openings in a thick panel that lies with its face on the glass. Where the lens looks at a wall aslant it shows as a
 * band of another grey inside the face's edge, on the side away from the lens: what lies deeper appears nearer to the lens's
 * axis by a share of its distance from it. So the band is as wide as a displacement d(p) = (ax + bx x, ay + by y) goes along the
 * outward normal, and nothing where that is negative. Four numbers and the wall's grey are found from the profiles across all
 * edges; the edge that counts is the outer step.
 */

import { type Row, solve } from '../../numeric/least-squares.js';
import { normal, type Profile, type Walls } from './edge-points.js';

/** Widths that are tried, pixels. */
const widthStep = 1;
const mostWidth = 14;
const greys = [0.12, 0.24, 0.36, 0.48, 0.6, 0.72, 0.84];
/** Walls explain the profiles where they take so much of the sum of squares, and where so many bands are seen. */
const leastGain = 0.06;
const leastBands = 6;
/** No better than this, pixels: the wall's grey is not the same all along (by trials on rendered walls). */
const leastSd = 0.05;
/** A band narrower than this, pixels, is not seen by itself. */
const seen = 1.5;

/** Undefined where one step explains the profiles as well. */
export const wallsIn = (profiles: readonly Profile[], blur: number): Walls | undefined => {
  if (profiles.length < 2 * leastBands) return undefined;
  const plain = profiles.map((p) => bestPlace(p, blur, 0, 0));
  const without = plain.reduce((sum, one) => sum + one, 0);
  let best: Walls | undefined;
  let least = without * (1 - leastGain);
  for (const grey of greys) {
    const widths = profiles.map((p) => bestWidth(p, blur, grey));
    const field = displacement(profiles, widths);
    if (field === undefined) continue;
    const [ax, bx, ay, by] = field;
    const width = (x: number, y: number, nx: number, ny: number): number =>
      Math.max(0, nx * (ax! + bx! * x) + ny * (ay! + by! * y));
    let squares = 0;
    const departs: number[] = [];
    let bands = 0;
    let widest = 0;
    profiles.forEach((p, i) => {
      const w = width(p.x, p.y, p.nx, p.ny);
      squares += bestPlace(p, blur, w, grey);
      if (w < seen) return;
      bands += 1;
      widest = Math.max(widest, w);
      departs.push(Math.abs(widths[i]! - w));
    });
    if (bands < leastBands || squares >= least) continue;
    least = squares;
    departs.sort((a, b) => a - b);
    // Half of normal deviations are smaller than 0.6745 sd; four numbers share all bands.
    const spread = departs[departs.length >> 1]! / 0.6745;
    best = { grey, width, sd: Math.max(leastSd, spread * Math.sqrt(4 / bands)), widest };
  }
  return best;
};

/** Sum of squares of a profile about two steps `width` apart, at the place of the outer one that suits best. */
const bestPlace = (profile: Profile, blur: number, width: number, grey: number): number => {
  // The profile is centred where one step would be: the outer one lies there or outside of it.
  let least = Number.POSITIVE_INFINITY;
  let at = 0;
  for (let place = -0.5; place <= width + 0.5; place += 0.5) {
    const s = squaresAt(profile, blur, width, grey, place);
    if (s < least) {
      least = s;
      at = place;
    }
  }
  for (let half = 0.25; half > 0.05; half /= 2) {
    for (const place of [at - half, at + half]) {
      const s = squaresAt(profile, blur, width, grey, place);
      if (s < least) {
        least = s;
        at = place;
      }
    }
  }
  return least;
};

const squaresAt = (
  { values, counts, first, step }: Profile,
  blur: number,
  width: number,
  grey: number,
  place: number,
): number => {
  let sum = 0;
  for (let i = 0; i < values.length; i += 1) {
    if (counts[i] === 0) continue;
    const t = first + i * step - place;
    const model =
      width === 0 ? tabled(t / blur) : grey * tabled((t + width) / blur) + (1 - grey) * tabled(t / blur);
    sum += counts[i]! * (values[i]! - model) ** 2;
  }
  return sum;
};

/** The normal distribution function from a table: within 1e-4. */
const tabled = (z: number): number => {
  const at = (z + 6) * 50;
  if (at <= 0) return 0;
  if (at >= 600) return 1;
  const i = at | 0;
  return table[i]! + (at - i) * (table[i + 1]! - table[i]!);
};

const table = Float64Array.from({ length: 602 }, (_, i) => normal(i / 50 - 6));

const bestWidth = (profile: Profile, blur: number, grey: number): number => {
  let least = Number.POSITIVE_INFINITY;
  let at = 0;
  for (let w = 0; w <= mostWidth; w += widthStep) {
    const s = bestPlace(profile, blur, w, grey);
    if (s < least) {
      least = s;
      at = w;
    }
  }
  for (const w of [at - widthStep / 2, at + widthStep / 2]) {
    if (w < 0) continue;
    const s = bestPlace(profile, blur, w, grey);
    if (s < least) {
      least = s;
      at = w;
    }
  }
  return at;
};

/** ax, bx, ay, by by least squares over the edges that face the right way; undefined where they do not tell it. */
const displacement = (profiles: readonly Profile[], widths: readonly number[]): number[] | undefined => {
  const scale = Math.max(...profiles.map(({ x, y }) => Math.max(x, y)), 1);
  let facing = profiles.map((_, i) => widths[i]! >= seen);
  let field: number[] | undefined;
  // What departs far counts less, turn by turn (P. Huber, 1964).
  let departs = profiles.map(() => 1);
  for (let turn = 0; turn < 12; turn += 1) {
    const rows: Row[] = profiles.flatMap(({ x, y, nx, ny }, i) =>
      facing[i]
        ? [{ design: [nx, (nx * x) / scale, ny, (ny * y) / scale], observed: widths[i]!, sd: departs[i]! }]
        : [],
    );
    if (rows.length < leastBands) return undefined;
    // A weak pull to nothing keeps what the edges do not tell from running away.
    const held: Row[] = [0, 1, 2, 3].map((k) => ({
      design: [0, 1, 2, 3].map((j) => (j === k ? 1 : 0)),
      observed: 0,
      sd: 30,
    }));
    const solved = solve([...rows, ...held], 4, { refine: false });
    if (!solved.ok) return undefined;
    const found = solved.solution;
    field = [found[0]!, found[1]! / scale, found[2]!, found[3]! / scale];
    const next = profiles.map(
      ({ x, y, nx, ny }) => nx * (field![0]! + field![1]! * x) + ny * (field![2]! + field![3]! * y) > 0,
    );
    departs = profiles.map(({ x, y, nx, ny }, i) => {
      const w = nx * (field![0]! + field![1]! * x) + ny * (field![2]! + field![3]! * y);
      return Math.sqrt(Math.max(1, Math.abs(widths[i]! - Math.max(0, w)) / 0.7));
    });
    if (turn > 4 && next.every((v, i) => v === facing[i])) break;
    facing = next;
  }
  return field;
};
