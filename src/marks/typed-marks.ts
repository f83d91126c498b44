/** Positions of marks as the job types them, held against the drawing before any reading counts. */
import { type Box, distance, type Point } from '../geometry/point.js';
import type { Job, MarkSource } from '../job/job.js';
import type { Remedy, Warning } from '../job/messages.js';
import { toWrite } from '../job/to-write.js';
import type { DrawnMarks } from './resolve-marks.js';

/**
 * A mark that is measured and typed lies no farther from where it is drawn, mm. Common practice, no
 * source.
 */
const samePlace = 0.5;
/**
 * How far marks may lie off the panel, by its longer side: on its offcut, say. Common practice, no
 * source.
 */
const besidePanel = 0.1;

/** What the drawing shows of where marks can lie; design frame, mm. */
export interface MarkGround {
  readonly panel?: Box;
  /** Absent for a drawing without one, as a DXF file is. */
  readonly page?: Box;
}

/** Marks that are read and whose positions are typed; design frame before `face`, mm. */
export const typedPlaces = ({ marks, readings }: Pick<Job, 'marks' | 'readings'>): Map<string, Point> =>
  new Map(
    readings.flatMap(({ mark }) => {
      const source = marks?.get(mark);
      return source !== undefined && 'at' in source ? [[mark, source.at] as const] : [];
    }),
  );

/** The whole list of marks with some of them at other places: what follows `marks:` in the job. */
export const marksValue = (job: Pick<Job, 'marks'>, changed: ReadonlyMap<string, MarkSource>): string => {
  const entry = ([name, source]: readonly [string, MarkSource]): string => {
    const now = changed.get(name) ?? source;
    return `${word(name)}: ${'shape' in now ? word(now.shape) : placeWords(now.at)}`;
  };
  return `{${[...(job.marks ?? [])].map(entry).join(', ')}}`;
};

/** `[28, 204]` */
export const placeWords = ({ x, y }: Point): string => `[${figure(x)}, ${figure(y)}]`;

const figure = (value: number): string => String(Number(value.toFixed(3)) + 0);

/** A name as YAML takes it for a text. */
const word = (name: string): string =>
  /^[A-Za-z_][\w-]*$/.test(name) && !/^(true|false|null|yes|no|on|off)$/i.test(name)
    ? name
    : JSON.stringify(name);

type ForMarks = Pick<Job, 'marks' | 'readings' | 'positions' | 'profile'>;

const typeMarks = (job: ForMarks, changed: ReadonlyMap<string, MarkSource>, why: string): Remedy => {
  const value = marksValue(job, changed);
  return {
    kind: 'change-job',
    step: `write ${toWrite(job, 'marks', value)}${why}`,
    set: { key: 'marks', value },
  };
};

const moved = (places: ReadonlyMap<string, Point>, to: (p: Point) => Point): Map<string, MarkSource> =>
  new Map([...places].map(([name, p]) => [name, { at: to(p) }]));

/**
 * `mark-misplaced` where typed positions contradict drawn ones of the same names, or lie beside the
 * panel altogether. A job of such marks is in doubt: no reading can show it where all of them are
 * shifted alike.
 */
export const placeWarnings = (
  job: ForMarks,
  drawn: Pick<DrawnMarks, 'marks'>,
  { panel }: MarkGround,
): Warning[] => {
  const places = typedPlaces(job);
  const contradicted = [...places].flatMap(([name, typed]) => {
    const at = drawn.marks.get(name);
    return at === undefined || distance(at, typed) <= samePlace ? [] : [{ name, typed, drawn: at }];
  });
  if (contradicted.length > 0) return [contradiction(job, contradicted)];
  if (panel === undefined || places.size === 0 || places.size < job.readings.length) return [];
  const all = [...places.values()];
  const elsewhere = all.every((p) => isOn(panel, p)) ? undefined : fromElsewhere(all, panel);
  if (elsewhere !== undefined) return [partlyOff(job, places, panel, elsewhere)];
  if (all.some((p) => isOn(panel, p)) || surrounds(all, panel)) return [];
  return [offPanel(job, places, panel)];
};

/** Another way to count that takes marks onto the panel, some of which lie off it as typed. */
interface Elsewhere {
  readonly to: (p: Point) => Point;
  readonly cause: string;
  readonly why: string;
}

/** Counted from the middle of the panel, or with y before x; undefined where neither is plain. */
const fromElsewhere = (places: readonly Point[], panel: Box): Elsewhere | undefined => {
  const [x, y] = [(panel.minX + panel.maxX) / 2, (panel.minY + panel.maxY) / 2];
  const signs = (values: readonly number[]): boolean => Math.min(...values) < 0 && Math.max(...values) > 0;
  const fromMiddle = (p: Point): Point => ({ x: p.x + x, y: p.y + y });
  const crossed = (p: Point): Point => ({ x: p.y, y: p.x });
  const isInside = (p: Point): boolean => isOn(panel, p, 0);
  if (
    signs(places.map((p) => p.x)) &&
    signs(places.map((p) => p.y)) &&
    places.every((p) => isInside(fromMiddle(p)))
  )
    return {
      to: fromMiddle,
      cause:
        'They are probably counted from the middle of the panel; the drawing counts from its own origin.',
      why: ', counted from the origin of the drawing',
    };
  return places.every((p) => isInside(crossed(p)))
    ? { to: crossed, cause: 'Their y was probably typed before their x.', why: ', with x before y' }
    : undefined;
};

const partlyOff = (
  job: ForMarks,
  places: ReadonlyMap<string, Point>,
  panel: Box,
  { to, cause, why }: Elsewhere,
): Warning => {
  const [name, at] = [...places].find(([, p]) => !isOn(panel, p)) as [string, Point];
  return {
    code: 'mark-misplaced',
    marks: [...places.keys()],
    message: `Mark ${name} lies off the panel as typed, at ${placeWords(at)}; ${panelWords(panel)}. ${cause}`,
    remedies: [typeMarks(job, moved(places, to), why)],
  };
};

const panelWords = ({ minX, minY, maxX, maxY }: Box): string =>
  `the panel begins at (${figure(minX)}, ${figure(minY)}) of the drawing and ends at (${figure(maxX)}, ${figure(maxY)})`;

const isOn = ({ minX, minY, maxX, maxY }: Box, { x, y }: Point, share = besidePanel): boolean => {
  const margin = share * Math.max(maxX - minX, maxY - minY);
  return x >= minX - margin && x <= maxX + margin && y >= minY - margin && y <= maxY + margin;
};

/** Marks of a jig, or of a frame, lie round the panel: its middle is among them. */
const surrounds = (places: readonly Point[], { minX, minY, maxX, maxY }: Box): boolean => {
  const [x, y] = [(minX + maxX) / 2, (minY + maxY) / 2];
  const xs = places.map((p) => p.x);
  const ys = places.map((p) => p.y);
  return Math.min(...xs) < x && Math.max(...xs) > x && Math.min(...ys) < y && Math.max(...ys) > y;
};

const offPanel = (job: ForMarks, places: ReadonlyMap<string, Point>, panel: Box): Warning => {
  const { minX, minY } = panel;
  const shifted = (p: Point): Point => ({ x: p.x + minX, y: p.y + minY });
  const fits = [...places.values()].every((p) => isOn(panel, shifted(p)));
  const [[name, at]] = [...places] as [[string, Point]];
  const cause = fits
    ? 'They are probably counted from the corner of the panel; the drawing counts from its own origin.'
    : 'Positions of marks count from the origin of the drawing.';
  return {
    code: 'mark-misplaced',
    marks: [...places.keys()],
    message: `No mark lies on the panel as typed, ${name} at ${placeWords(at)} for one; ${panelWords(panel)}. ${cause}`,
    remedies: [
      fits
        ? typeMarks(job, moved(places, shifted), ', counted from the origin of the drawing')
        : {
            kind: 'correct-marks',
            step: 'type the positions of the marks as the drawing counts them; "reseat list" shows where the panel lies',
          },
    ],
  };
};

interface Contradicted {
  readonly name: string;
  readonly typed: Point;
  readonly drawn: Point;
}

const contradiction = (job: ForMarks, found: readonly Contradicted[]): Warning => {
  const told = found
    .slice(0, 3)
    .map(
      ({ name, typed, drawn }) =>
        `${name} is drawn at ${placeWords(drawn)} and typed at ${placeWords(typed)}`,
    );
  const more = found.length > 3 ? `; so are ${found.length - 3} more` : '';
  return {
    code: 'mark-misplaced',
    marks: found.map(({ name }) => name),
    message: `${told.join('; ')}${more}.${inCommon(found)} The cut follows what is typed.`,
    remedies: [
      typeMarks(
        job,
        new Map(found.map(({ name }) => [name, { shape: name }])),
        `, which takes ${found.length === 1 ? 'it' : 'them'} where ${found.length === 1 ? 'it is' : 'they are'} drawn`,
      ),
      {
        kind: 'correct-marks',
        step: 'give a mark another name under "marks:" and "readings:", if it is not the drawn one of that name',
      },
    ],
  };
};

/** What all of them have in common; one alone shows nothing. */
const inCommon = (found: readonly Contradicted[]): string => {
  if (found.length < 2) return '';
  const same = (of: (c: Contradicted) => number): boolean => {
    const values = found.map(of);
    return Math.max(...values) - Math.min(...values) <= samePlace;
  };
  const byX = same(({ typed, drawn }) => drawn.x - typed.x);
  const { typed, drawn } = found[0]!;
  if (byX && same((c) => c.drawn.y - c.typed.y))
    return ` All of them differ by the same ${placeWords({ x: drawn.x - typed.x, y: drawn.y - typed.y })}, as where positions are counted from another corner.`;
  if (byX && same((c) => c.drawn.y + c.typed.y))
    return ` Their y is typed as counted downwards; positions count y upwards from the lower edge of the page.`;
  if (same((c) => c.drawn.x - c.typed.y) && same((c) => c.drawn.y - c.typed.x))
    return ' Their x and y are exchanged.';
  return '';
};

/** All positions of marks typed in another way, as they were probably meant. */
export interface Retyping {
  readonly kind: 'counted-down' | 'from-right' | 'exchanged' | 'centimetres' | 'inches';
  /** Every mark that is read; design frame before `face`, mm. */
  readonly places: ReadonlyMap<string, Point>;
  /** What was done, as a clause. */
  readonly cause: string;
  readonly remedy: Remedy;
}

/**
 * How the list of marks may have been typed as a whole, so that all of them lie on the panel: with
 * y counted downwards, as many programs show it, with x counted from the right, with x and y
 * exchanged, in cm or in inches.
 *
 * @returns none where not every mark that is read is typed, or the panel is not known
 */
export const retypings = (job: ForMarks, { panel, page }: MarkGround): Retyping[] => {
  const places = typedPlaces(job);
  if (places.size === 0 || places.size < job.readings.length || panel === undefined) return [];
  const { minX, minY, maxX, maxY } = page ?? { ...panel, minX: 0, minY: 0 };
  const corner = page === undefined ? 'the origin of the drawing' : "the page's lower left corner";
  const edge = page === undefined ? 'the origin of the drawing' : "the page's lower edge";
  const ways: readonly [Retyping['kind'], (p: Point) => Point, cause: string, why: string][] = [
    [
      'counted-down',
      ({ x, y }) => ({ x, y: minY + maxY - y }),
      'typed with y counted downwards',
      `, if their y was typed as counted downwards: it counts upwards from ${edge} (${figure(minY + maxY)} - y)`,
    ],
    [
      'from-right',
      ({ x, y }) => ({ x: minX + maxX - x, y }),
      'typed with x counted from the right',
      `, if their x was typed as counted from the right: it counts from ${corner} (${figure(minX + maxX)} - x)`,
    ],
    [
      'exchanged',
      ({ x, y }) => ({ x: y, y: x }),
      'typed with y before x',
      ', if their y was typed before their x',
    ],
    ['centimetres', times(10), 'typed in cm', ', in mm: the positions were typed in cm'],
    ['inches', times(25.4), 'typed in inches', ', in mm: the positions were typed in inches'],
  ];
  return ways.flatMap(([kind, to, cause, why]) => {
    const there = new Map([...places].map(([name, p]) => [name, to(p)]));
    if (![...there.values()].every((p) => isOn(panel, p))) return [];
    return [
      {
        kind,
        places: there,
        cause: `the positions of the marks were ${cause}`,
        remedy: typeMarks(job, moved(places, to), why),
      },
    ];
  });
};

const times =
  (factor: number) =>
  ({ x, y }: Point): Point => ({ x: factor * x, y: factor * y });

/** The job with one mark at another place. */
export const typedElsewhere = (job: ForMarks, mark: string, at: Point, why: string): Remedy =>
  typeMarks(job, new Map([[mark, { at }]]), why);

/** The job with the places of two marks exchanged; undefined where one of them is not typed. */
export const exchangedMarks = (job: ForMarks, one: string, other: string): Remedy | undefined => {
  const places = typedPlaces(job);
  const [first, second] = [places.get(one), places.get(other)];
  if (first === undefined || second === undefined) return undefined;
  const changed = new Map([
    [one, { at: second }],
    [other, { at: first }],
  ]);
  return typeMarks(job, changed, ', if it is their positions that were typed one for the other');
};
