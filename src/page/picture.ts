/** The part as it lies on the bed, or, before it was read, as it is drawn: an SVG that grows with its place. */
import {
  type Box,
  type CutResult,
  type Fit,
  jobPicture,
  type LoadedJob,
  type Matrix,
  type Path,
  type PictureMark,
  type Point,
  pathData,
  type Segment,
  type Shape,
  trueToPointer,
  type WitnessPoint,
} from '../index.js';
import { leftFirst, Names, rightFirst } from './picture-names.js';
import { escaped } from './text.js';

export interface Picture {
  readonly svg: string;
  /** What an arrow stands for; absent where there are none. */
  readonly arrows?: string;
  /** What the coordinates are. */
  readonly frame: 'bed' | 'drawing';
}

/** What the picture points at. */
export interface PointedAt {
  /** The opening that needs most. */
  readonly worst: string | undefined;
  /** Where the pointer has to stand; numbered in their order. */
  readonly witness: readonly WitnessPoint[];
}

interface Drawn {
  readonly role: string;
  readonly id: string;
  readonly paths: readonly Path[];
}

/** The fitted part with what is cut, as the display counts. */
export const bedPicture = (
  loaded: LoadedJob,
  fit: Fit,
  cut: CutResult,
  { worst, witness }: PointedAt,
): Picture => {
  const { job, roles } = loaded;
  const { openings, outline } = roles;
  const input = jobPicture({ job, openings, outline, fit, cut });
  const shapes = input.shapes.map(({ role, id = '', paths }) => ({ role, id, paths }));
  const onDisplay = trueToPointer(job.machine);
  const triangles = (input.findings ?? []).map(({ at, label }) => ({ at, label }));
  const places = witness.map(({ at, opening }) => ({ at: onDisplay(at), name: opening }));
  return draw(shapes, input.marks ?? [], {
    frame: 'bed',
    upwards: input.axes !== 'y-down',
    worst,
    places,
    triangles,
  });
};

export const drawingPicture = (
  shapes: readonly Shape[],
  roleOf: (shape: Shape) => string,
  marks: readonly PictureMark[],
): Picture =>
  draw(
    shapes.map((shape) => ({ role: roleOf(shape), id: shape.id, paths: shape.paths })),
    marks,
    { frame: 'drawing', upwards: true, worst: undefined, places: [], triangles: [] },
  );

const layers = ['outline', 'unused', 'opening', 'beam'];

interface View {
  readonly frame: Picture['frame'];
  readonly upwards: boolean;
  readonly worst: string | undefined;
  readonly places: readonly { readonly at: Point; readonly name: string }[];
  readonly triangles: readonly { readonly at: Point; readonly label: string }[];
}

const draw = (
  shapes: readonly Drawn[],
  marks: readonly PictureMark[],
  { frame, upwards, worst, places, triangles }: View,
): Picture => {
  const box = boxOf(shapes, marks);
  const width = box.maxX - box.minX;
  const height = box.maxY - box.minY;
  const size = Math.max(width, height);
  const m: Matrix = upwards ? [1, 0, 0, -1, -box.minX, box.maxY] : [1, 0, 0, 1, -box.minX, -box.minY];
  const paths = layers.flatMap((role) =>
    shapes
      .filter((shape) => shape.role === role)
      .map(({ id, paths: own }) => {
        const d = own.map((path) => pathData(path, m, 3)).join('');
        const isWorst = role !== 'beam' && id === worst;
        return `<path class="${role}${isWorst ? ' worst' : ''}" d="${d}"><title>${escaped(id)}</title></path>`;
      }),
  );
  const largest = Math.max(0, ...marks.map(({ residual: r }) => (r ? Math.hypot(r.x, r.y) : 0)));
  const factor = largest > 1e-6 ? roundBelow((0.12 * size) / largest) : undefined;
  const unit = size / 100;
  const inPicture = ({ x, y }: Point): Point => ({ x: x + m[4], y: m[3] * y + m[5] });
  const signs = marks.map(({ name, at, residual: r = { x: 0, y: 0 } }) => {
    const from = inPicture(at);
    return {
      name,
      at: from,
      tip: { x: from.x + r.x * (factor ?? 0), y: from.y + m[3] * r.y * (factor ?? 0) },
    };
  });
  const crosses = places.map(({ at, name }) => ({ at: inPicture(at), name }));
  const taken = [
    ...signs.flatMap(({ at, tip }) => stepsOf(at, tip).map((p) => square(p, 1.2 * unit))),
    ...crosses.map(({ at }) => square(at, 1.2 * unit)),
  ];
  const lines = shapes
    .filter(({ role }) => role === 'opening')
    .flatMap(({ paths: own }) => own.flatMap(pointsOfPath));
  const names = new Names(taken, lines.map(inPicture));
  for (const { name, at } of signs) {
    // Outside of the part, where there is room.
    const spots = at.x < width / 2 ? leftFirst : rightFirst;
    names.insist({ text: name, at, size: 3.2 * unit, radius: 1.3 * unit, class: 'of-mark' }, spots);
  }
  for (const [i, { name, at }] of crosses.entries()) {
    const label = { at, size: 2.9 * unit, radius: 1.3 * unit, class: 'of-place' } as const;
    if (!names.place({ ...label, text: `${i + 1} ${name}` })) names.insist({ ...label, text: String(i + 1) });
  }
  const named = shapes.find(({ role, id }) => role !== 'beam' && id === worst);
  if (named !== undefined && !crosses.some(({ name }) => name === worst)) {
    const { minX, minY, maxX, maxY } = reachOf(named.paths.flatMap(pointsOfPath));
    const at = inPicture({ x: (minX + maxX) / 2, y: (minY + maxY) / 2 });
    const own = { text: named.id, at, size: 2.9 * unit, class: 'of-opening' } as const;
    names.place({ ...own, radius: (maxY - minY) / 2, onPlace: true }, [
      { x: 0, y: -1 },
      { x: 0, y: 1 },
    ]);
  }
  const view = reachOf([
    { x: 0, y: 0 },
    { x: width, y: height },
    ...names.reach.flatMap((b) => [
      { x: b.minX - unit, y: b.minY - unit },
      { x: b.maxX + unit, y: b.maxY + unit },
    ]),
    ...signs.map(({ tip }) => tip),
  ]);
  const viewBox = [view.minX, view.minY, view.maxX - view.minX, view.maxY - view.minY].map((v) =>
    v.toFixed(3),
  );
  return {
    svg: `<svg xmlns="http://www.w3.org/2000/svg" viewBox="${viewBox.join(' ')}" role="img" aria-labelledby="picture-caption">${[...paths, ...signs.map((sign) => markSign(sign, unit)), ...crosses.map(({ at }) => crossSign(at, unit)), ...triangles.map(({ at, label }) => triangleSign(inPicture(at), label, unit))].join('')}${names}</svg>`,
    ...(factor === undefined
      ? {}
      : { arrows: factor === 1 ? 'residuals' : `residuals, drawn ${factor.toLocaleString('en-GB')} times` }),
    frame,
  };
};

const n = (value: number): string => value.toFixed(3);

const square = ({ x, y }: Point, half: number): Box => ({
  minX: x - half,
  minY: y - half,
  maxX: x + half,
  maxY: y + half,
});

/** Points along an arrow, near enough that no name fits between them. */
const stepsOf = (from: Point, to: Point): Point[] =>
  Array.from({ length: 9 }, (_, k) => ({
    x: from.x + (k / 8) * (to.x - from.x),
    y: from.y + (k / 8) * (to.y - from.y),
  }));

/** A ring with its centre, and the residual as an arrow. */
const markSign = ({ at, tip }: { at: Point; tip: Point }, unit: number): string => {
  const { x, y } = at;
  const [dx, dy] = [tip.x - x, tip.y - y];
  const long = Math.hypot(dx, dy);
  const head = Math.min(2 * unit, 0.6 * long);
  const [ux, uy] = long > 0 ? [dx / long, dy / long] : [0, 0];
  const [bx, by] = [tip.x - head * ux, tip.y - head * uy];
  const arrow =
    long < 0.3 * unit
      ? ''
      : `<path class="arrow" d="M${n(x)},${n(y)}L${n(bx)},${n(by)}"/><path class="head" d="M${n(tip.x)},${n(tip.y)}L${n(bx - 0.4 * head * uy)},${n(by + 0.4 * head * ux)}L${n(bx + 0.4 * head * uy)},${n(by - 0.4 * head * ux)}Z"/>`;
  return `<g class="mark"><circle cx="${n(x)}" cy="${n(y)}" r="${n(1.1 * unit)}"/><circle class="dot" cx="${n(x)}" cy="${n(y)}" r="${n(0.3 * unit)}"/>${arrow}</g>`;
};

/** A place to drive the pointer to. */
const crossSign = ({ x, y }: Point, unit: number): string => {
  const arm = 1.5 * unit;
  const d = `M${n(x - arm)},${n(y)}H${n(x + arm)}M${n(x)},${n(y - arm)}V${n(y + arm)}`;
  return `<g class="place"><path class="rim" d="${d}"/><path d="${d}"/></g>`;
};

/** Where the cut does something to the piece; what, when the pointer rests on it. */
const triangleSign = ({ x, y }: Point, label: string, unit: number): string => {
  const d = `M${n(x)},${n(y - 1.7 * unit)}l${n(1.6 * unit)},${n(2.8 * unit)}h${n(-3.2 * unit)}Z`;
  return `<path class="finding" d="${d}"><title>${escaped(label)}</title></path>`;
};

/** The largest of 1, 2, 5, 10, 20 ... that is not above `most`. */
const roundBelow = (most: number): number => {
  const decade = Number(`1e${Math.floor(Math.log10(most))}`);
  const step = [5, 2, 1].find((s) => s * decade <= most) ?? 1;
  return Math.max(1, Math.round(step * decade));
};

/** Of everything drawn, with a rim. */
const boxOf = (shapes: readonly Drawn[], marks: readonly PictureMark[]): Box => {
  const { minX, minY, maxX, maxY } = reachOf([
    ...marks.map(({ at }) => at),
    ...shapes.flatMap(({ paths }) => paths.flatMap(pointsOfPath)),
  ]);
  const rim = 0.05 * Math.max(maxX - minX, maxY - minY, 1);
  return { minX: minX - rim, minY: minY - rim, maxX: maxX + rim, maxY: maxY + rim };
};

const reachOf = (points: readonly Point[]): Box => {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const { x, y } of points) {
    minX = Math.min(minX, x);
    minY = Math.min(minY, y);
    maxX = Math.max(maxX, x);
    maxY = Math.max(maxY, y);
  }
  return { minX, minY, maxX, maxY };
};

const pointsOfPath = ({ segments }: Path): Point[] => segments.flatMap(pointsOf);

/** Enough of them to see how far a segment reaches, and where it runs. */
const pointsOf = (s: Segment): Point[] => {
  if (s.kind === 'line') return stepsOf(s.from, s.to);
  if (s.kind === 'cubic') return [s.from, s.control1, s.control2, s.to];
  const [u, v] =
    s.kind === 'arc'
      ? [
          { x: s.radius, y: 0 },
          { x: 0, y: s.radius },
        ]
      : [s.u, s.v];
  return Array.from({ length: 9 }, (_, k) => {
    const t = s.start + (k / 8) * s.sweep;
    const [c, w] = [Math.cos(t), Math.sin(t)];
    return { x: s.centre.x + c * u.x + w * v.x, y: s.centre.y + c * u.y + w * v.y };
  });
};
