/**
 * Signs and colours of every picture and of the page, and what each means. A colour has one
 * meaning, and never carries it alone: a form, a line of its own weight or a word says the same, so
 * that a picture printed in grey tells as much.
 *
 * Contrasts are those of W3C WCAG 2.2 (1.4.3, 1.4.11): text 4.5, lines 3 against whatever they lie
 * on; a test holds them.
 */

export const palette = {
  /** Where nothing is: the sheet, the bed beside the part, the inside of an opening. */
  paper: '#fbfaf6',
  /** The panel, and every land that stays. */
  panel: '#e6e4da',
  /** What is there, what is cut, and its name. */
  ink: '#17212b',
  /** What is said beside: figures at ticks, notes, shapes that have no role. */
  quiet: '#56606a',
  /** Rules that part; they mean nothing. */
  hairline: '#cfcec6',
  /** A layer laid over the panel: film, and lines hatching it. */
  film: '#d3d0c3',
  /** Error and nothing else: residuals, what is needed, what does not fit. */
  error: '#b23f0c',
} as const;

/** Widths of lines, picture units: existing edges are thin, new ones thick. */
export const weights = {
  /** The edge of the panel. */
  panel: 1.5,
  /** The edge of an opening that is there. */
  existing: 0.9,
  /** What is cut, where the kerf itself is thinner. */
  cut: 1.8,
  /** A drawn shape without a role; dashed. */
  unused: 1,
  /** An opening that does not fit, or may not: over its edge. */
  broken: 3.2,
} as const;

/**
 * Dashes of a shape without a role, of an opening that may touch, of a mark that is not read yet.
 */
export const dashes = { unused: '5 4', mayTouch: '4 3', unread: '2 2' } as const;

/** Sizes of signs, picture units. */
export const signs = {
  /** A mark: ring and dot at the place that is read. */
  mark: { ring: 5.2, dot: 1.5, line: 1.6 },
  /** A witness point: a saltire, its middle where the pointer is to stand. */
  witness: { arm: 5, line: 1.7 },
  /** A touch: a square on its corner, its middle on the edge. */
  touch: { half: 5, line: 1.6 },
  /** A place that decides: its number in a ring, filled for the first. */
  place: { ring: 10, line: 1.2 },
  /** What the cut does to the piece: a triangle on its base. */
  finding: { high: 13, half: 7 },
} as const;

interface Place {
  readonly x: number;
  readonly y: number;
}

const figure = (value: number): string => String(Math.round(value * 100) / 100 + 0);

/** Path data of two strokes across each other. */
export const saltire = ({ x, y }: Place, arm: number = signs.witness.arm): string =>
  `M${figure(x - arm)},${figure(y - arm)}l${2 * arm},${2 * arm}m0,${-2 * arm}l${-2 * arm},${2 * arm}`;

export const diamond = ({ x, y }: Place, half: number = signs.touch.half): string =>
  `M${figure(x - half)},${figure(y)}l${half},${-half}l${half},${half}l${-half},${half}Z`;

/** Its centre of area is the place. */
export const triangle = ({ x, y }: Place): string => {
  const { high, half } = signs.finding;
  return `M${figure(x)},${figure(y - (high * 2) / 3)}l${half},${high}h${-2 * half}Z`;
};
