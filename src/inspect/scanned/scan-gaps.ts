/** All gaps of a finished piece in its scan. */
import { compose, identity, type Matrix } from '../../geometry/affine.js';
import { InputError } from '../../job/messages.js';
import { type Row, solve } from '../../numeric/least-squares.js';
import type { GreyPicture, PixelSize } from '../../scan/picture/grey-picture.js';
import type { Gap } from '../cut-error.js';
import type { EdgePlace, Walk } from '../edge-walk.js';
import { blurOf } from './blur.js';
import { type Lying, register } from './register.js';
import { blurredSteps, oneStep, type Steps, sharpSteps } from './steps.js';
import { type Profile, profileOf, type Window, windowsOf } from './windows.js';

/** What was seen at one stretch of an edge. */
export interface SeenGap {
  readonly place: EdgePlace;
  readonly length: number;
  /** mm */
  readonly gap: number;
  /** `edges`: both edges are seen; `covered`: the film hides the existing edge, which is taken where the others say it lies. */
  readonly by: 'edges' | 'covered';
  /** By how much the gap grows with the scanner's gamma, mm. */
  readonly perGamma: number;
}

export interface ScanGaps {
  /** For the adjustment: both edges seen, and far enough apart. */
  readonly gaps: readonly (Gap & { readonly perGamma: number })[];
  readonly seen: readonly SeenGap[];
  /** Stretches where the edges could not be told, and their share of the length. */
  readonly unseen: { readonly count: number; readonly share: number; readonly openings: readonly string[] };
  /** mm */
  readonly pixel: number;
  /** sd of the blur across an edge, mm. */
  readonly blur: number;
  /** Light is the picture's value to this power; whether that was stated. */
  readonly gamma: { readonly value: number; readonly stated: boolean };
  readonly lying: Lying;
  /** True bed mm -> pixels of the picture from its upper left corner, y down. */
  readonly toPixels: Matrix;
}

export interface ScanGapsInput {
  readonly picture: GreyPicture;
  readonly pixel: PixelSize;
  readonly walk: Walk;
  readonly clearance: number;
  readonly expected: (place: EdgePlace) => number;
  readonly file: string;
  readonly turned?: number;
  /** Light is the picture's value to this power; undefined: values are taken as light. */
  readonly gamma?: number;
}

/** Edges nearer than so many pixels are one step. */
const leastApart = 3;
/** Those that count in the adjustment are at least so many apart. */
const leastToCount = 4;
/** A step is at least so high, of 255. */
const leastStep = 3;
/** Two steps leave so much less than one. */
const twoBetter = 1.3;
/** Heights of both steps agree with those of most stretches within these. */
const alike = [0.4, 2.5] as const;
/** To either side, for what a gap changes with the gamma. */
const gammaStep = 0.1;
/** Fewer seen stretches say nothing. */
const leastSeen = 8;
const firstWithin = [0.9, 0.4, 0.25] as const;

/** @throws InputError where the piece, or its edges, cannot be told in the picture */
export const scanGaps = (input: ScanGapsInput): ScanGaps => {
  const { picture, pixel, walk, clearance, expected, file } = input;
  const size = Math.sqrt(pixel.x * pixel.y);
  const lying = register(input);
  const windows = windowsOf(walk, clearance);
  let place = toPixels(input, lying);
  let read: Read[] = [];
  firstWithin.forEach((within, pass) => {
    read = windows.map((window) => readWindow(input, window, place, within, size));
    const good = goodOf(read);
    if (good.length < leastSeen) throw unseenEdges(file, good.length, windows.length);
    if (pass < firstWithin.length - 1) place = compose(place, refinement(good));
  });
  const good = goodOf(read);
  const gamma = input.gamma ?? 1;
  const blur = blurOf(
    good.filter(({ steps }) => steps.second - steps.first > 4 * size),
    size,
    gamma,
    picture.white,
  );
  const goodWindows = new Set(good.map(({ window }) => window));
  const heights = medianHeights(good);
  const seen: SeenGap[] = [];
  const gaps: (Gap & { perGamma: number })[] = [];
  let unseenLength = 0;
  const unseen: string[] = [];
  let count = 0;
  for (const one of read) {
    const { window, profile, steps } = one;
    const { place, length } = window;
    const fitAt = (power: number): Steps | undefined =>
      steps === undefined || profile === undefined
        ? undefined
        : blurredSteps(profile, steps, blur, power, picture.white);
    const found = goodWindows.has(window) ? fitAt(gamma) : undefined;
    if (found !== undefined) {
      const [above, below] = [fitAt(gamma + gammaStep), fitAt(gamma - gammaStep)];
      const gap = found.second - found.first;
      const perGamma =
        above === undefined || below === undefined
          ? 0
          : (above.second - above.first - below.second + below.first) / (2 * gammaStep);
      seen.push({ place, length, gap, by: 'edges', perGamma });
      // Nearer than that, what departs from a blur that is the same to both sides moves one edge by the other.
      if (gap > leastToCount * size)
        gaps.push({ place, gap, expected: expected(place), ratio: ratioOf(length), perGamma });
      continue;
    }
    const covered = profile === undefined ? undefined : coveredAt(profile, heights);
    if (covered !== undefined) seen.push({ place, length, gap: covered, by: 'covered', perGamma: 0 });
    else {
      count += 1;
      unseenLength += length;
      if (!unseen.includes(place.opening)) unseen.push(place.opening);
    }
  }
  if (gaps.length < leastSeen) throw unseenEdges(file, gaps.length, windows.length);
  const whole = windows.reduce((sum, { length }) => sum + length, 0);
  return {
    gaps,
    seen,
    unseen: { count, share: unseenLength / whole, openings: unseen },
    pixel: size,
    blur,
    gamma: { value: gamma, stated: input.gamma !== undefined },
    lying,
    toPixels: place,
  };
};

const unseenEdges = (file: string, good: number, all: number): InputError =>
  new InputError({
    found: `two edges, of hole and of film, at ${good} of ${all} stretches of the openings`,
    expected: `a picture in which panel, film and what shows through the holes have three tones, at ${leastSeen} stretches at least`,
    where: { file },
    next: 'Scan it with a ground of another tone, at 600 to the inch or more, the side that was cut on the glass; or measure gaps by hand: "reseat inspect" without a scan lists places.',
  });

interface Read {
  readonly window: Window;
  readonly profile?: Profile;
  readonly steps?: Steps;
}
type Good = Required<Read>;

const toPixels = ({ picture, pixel }: ScanGapsInput, { turn, x, y }: Lying): Matrix => {
  const c = Math.cos(turn);
  const s = Math.sin(turn);
  return compose([1 / pixel.x, 0, 0, -1 / pixel.y, 0, picture.height], [c, s, -s, c, x, y]);
};

const readWindow = (
  { picture, clearance }: ScanGapsInput,
  window: Window,
  place: Matrix,
  within: number,
  size: number,
): Read => {
  const profile = profileOf(picture, window, place, size, -window.inside, clearance + window.outside);
  if (profile === undefined) return { window };
  const steps = sharpSteps(profile, leastApart * size, [-within, within]);
  if (steps === undefined) return { window, profile };
  const [a, b, c] = steps.levels;
  const least = (leastStep * picture.white) / 255;
  const isTwo =
    Math.abs(b - a) >= least &&
    Math.abs(c - b) >= least &&
    oneStep(profile).squares > twoBetter * steps.squares;
  return isTwo ? { window, profile, steps } : { window, profile };
};

const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const n = sorted.length;
  return n % 2 === 1 ? sorted[(n - 1) / 2]! : (sorted[n / 2 - 1]! + sorted[n / 2]!) / 2;
};

const medianHeights = (read: readonly Good[]): [number, number] => [
  median(read.map(({ steps: { levels } }) => levels[1] - levels[0])),
  median(read.map(({ steps: { levels } }) => levels[2] - levels[1])),
];

/** Those whose two steps are as high as those of most. */
const goodOf = (read: readonly Read[]): Good[] => {
  const two = read.filter((one): one is Good => one.steps !== undefined);
  if (two.length === 0) return [];
  const [first, second] = medianHeights(two);
  const fits = (height: number, usual: number): boolean =>
    height / usual >= alike[0] && height / usual <= alike[1];
  return two.filter(
    ({ steps: { levels } }) => fits(levels[1] - levels[0], first) && fits(levels[2] - levels[1], second),
  );
};

/** Only one step, from hole to film: it is the film's edge. Between two such tones the panel would show as a step of its own. */
const coveredAt = (profile: Profile, [first, second]: readonly [number, number]): number | undefined => {
  const whole = first + second;
  // Where hole and film are of one tone there is no step to see.
  if (Math.abs(whole) < 0.5 * Math.max(Math.abs(first), Math.abs(second))) return undefined;
  const { at, levels } = oneStep(profile);
  const height = levels[1] - levels[0];
  // Nearer to hole and film than to panel alone.
  const share = height / whole;
  const panelOnly = first / whole;
  const limit = panelOnly < 1 ? (1 + panelOnly) / 2 : 0.7;
  return share > limit && share < 1.6 ? at : undefined;
};

/** Where existing edges lie beside where they were looked for, as a linear map where there are enough, else a turn and a shift. */
const refinement = (good: readonly Good[]): Matrix => {
  const mean = good.reduce(
    (sum, { window }) => ({
      x: sum.x + window.place.at.x / good.length,
      y: sum.y + window.place.at.y / good.length,
    }),
    { x: 0, y: 0 },
  );
  const rowOf = ({ window: { place: at }, steps }: Good, isLinear: boolean): Row => {
    const { x: nx, y: ny } = at.normal;
    const dx = at.at.x - mean.x;
    const dy = at.at.y - mean.y;
    return {
      design: isLinear ? [nx, ny, nx * dx, nx * dy, ny * dx, ny * dy] : [nx, ny, ny * dx - nx * dy],
      observed: steps.first,
      sd: 1,
    };
  };
  for (const isLinear of [true, false]) {
    const unknowns = isLinear ? 6 : 3;
    let used = good;
    let solved = solve(
      used.map((one) => rowOf(one, isLinear)),
      unknowns,
      { refine: false },
    );
    for (let round = 0; round < 3 && solved.ok; round += 1) {
      const x = solved.solution;
      const off = (one: Good): number => {
        const { design, observed } = rowOf(one, isLinear);
        return Math.abs(observed - design.reduce((s, d, k) => s + d * x[k]!, 0));
      };
      const usual = 1.4826 * median(good.map(off));
      used = good.filter((one) => off(one) <= Math.max(0.01, 3 * usual));
      solved = solve(
        used.map((one) => rowOf(one, isLinear)),
        unknowns,
        { refine: false },
      );
    }
    if (!solved.ok) continue;
    const [sx, sy, a, b, c = 0, d = 0] = solved.solution as [
      number,
      number,
      number,
      number,
      number?,
      number?,
    ];
    // A panel is not stretched by a hundredth: fewer edges than that takes are not told apart from one another.
    if (isLinear && Math.max(...[a, b, c, d].map(Math.abs)) > 0.02) continue;
    const [xx, xy, yx, yy] = isLinear ? [1 + a, b, c, 1 + d] : [1, -a, a, 1];
    return [xx, yx, xy, yy, mean.x + sx - xx * mean.x - xy * mean.y, mean.y + sy - yx * mean.x - yy * mean.y];
  }
  return identity;
};

/** Of gaps of unlike length: the sd goes with the root of it. */
const ratioOf = (length: number): number => Math.sqrt(3 / Math.max(length, 0.2));

/** A picture for the eye holds about light to the power 1 / 2.2 (IEC 61966-2-1, sRGB, from memory). */
export const usualGamma = 2.2;

/** By how much the kerf would be another one if the picture held light to the power 1 / 2.2, mm: a gap holds half of it. */
export const kerfByGamma = ({ gaps, gamma }: ScanGaps): number => {
  const mean = gaps.reduce((sum, { perGamma }) => sum + perGamma, 0) / gaps.length;
  // A gap changes with the logarithm of the gamma, nearly.
  return 2 * mean * gamma.value * Math.log(usualGamma / gamma.value);
};

/** Clearances of so many pixels and more keep both steps apart. */
const farApart = 9;
/** Pixels. */
const shapeError = 0.011;

/**
 * sd of the kerf from the shape of the blur, mm: where the steps are few pixels apart, a blur that is no normal distribution moves
 * one by the other, everywhere alike. On 136 rendered scans with 6 pixels of clearance the kerf was off by 0.011 pixels more than
 * the residuals tell, without noise by 0.007; with 12 pixels by 0.003.
 */
export const kerfByShape = ({ pixel }: ScanGaps, clearance: number): number =>
  clearance < farApart * pixel ? shapeError * pixel : 0;
