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
} from '../index.js';
import { escaped } from './text.js';

export interface Picture {
  readonly svg: string;
  /** What an arrow stands for; absent where there are none. */
  readonly arrows?: string;
  /** What the coordinates are. */
  readonly frame: 'bed' | 'drawing';
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
  worst: string | undefined,
): Picture => {
  const { job, roles } = loaded;
  const { openings, outline } = roles;
  const input = jobPicture({ job, openings, outline, fit, cut });
  const shapes = input.shapes.map(({ role, id = '', paths }) => ({ role, id, paths }));
  return draw(shapes, input.marks ?? [], { frame: 'bed', upwards: input.axes !== 'y-down', worst });
};

export const drawingPicture = (
  shapes: readonly Shape[],
  roleOf: (shape: Shape) => string,
  marks: readonly PictureMark[],
): Picture =>
  draw(
    shapes.map((shape) => ({ role: roleOf(shape), id: shape.id, paths: shape.paths })),
    marks,
    { frame: 'drawing', upwards: true, worst: undefined },
  );

const layers = ['outline', 'unused', 'opening', 'beam'];

const draw = (
  shapes: readonly Drawn[],
  marks: readonly PictureMark[],
  { frame, upwards, worst }: { frame: Picture['frame']; upwards: boolean; worst: string | undefined },
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
  const signs = marks.map((mark) => markSign(mark, { m, unit, factor, middle: width / 2 }));
  return {
    svg: `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width.toFixed(3)} ${height.toFixed(3)}" role="img" aria-labelledby="picture-caption" style="--unit: ${unit.toFixed(4)}">${paths.join('')}${signs.join('')}</svg>`,
    ...(factor === undefined ? {} : { arrows: `residuals, drawn ${factor.toLocaleString('en-GB')} times` }),
    frame,
  };
};

/** A ring with its centre, its name, and the residual as an arrow. */
const markSign = (
  { name, at, residual }: PictureMark,
  { m, unit, factor = 0, middle }: { m: Matrix; unit: number; factor?: number | undefined; middle: number },
): string => {
  const x = at.x + m[4];
  const y = m[3] * at.y + m[5];
  const dx = (residual?.x ?? 0) * factor;
  const dy = (residual?.y ?? 0) * factor * m[3];
  const long = Math.hypot(dx, dy);
  // Names stand outside of the part.
  const side = x < middle ? -1 : 1;
  const n = (value: number): string => value.toFixed(3);
  const head = Math.min(2 * unit, 0.6 * long);
  const [ux, uy] = long > 0 ? [dx / long, dy / long] : [0, 0];
  const [bx, by] = [x + dx - head * ux, y + dy - head * uy];
  const arrow =
    long < 0.3 * unit
      ? ''
      : `<path class="arrow" d="M${n(x)},${n(y)}L${n(bx)},${n(by)}"/><path class="head" d="M${n(x + dx)},${n(y + dy)}L${n(bx - 0.4 * head * uy)},${n(by + 0.4 * head * ux)}L${n(bx + 0.4 * head * uy)},${n(by - 0.4 * head * ux)}Z"/>`;
  return `<g class="mark"><circle cx="${n(x)}" cy="${n(y)}" r="${n(1.1 * unit)}"/><circle class="dot" cx="${n(x)}" cy="${n(y)}" r="${n(0.3 * unit)}"/>${arrow}<text x="${n(x + side * 2 * unit)}" y="${n(y + 1.1 * unit)}" text-anchor="${side > 0 ? 'start' : 'end'}" font-size="${n(3.2 * unit)}">${escaped(name)}</text></g>`;
};

/** The largest of 1, 2, 5, 10, 20 ... that is not above `most`. */
const roundBelow = (most: number): number => {
  const decade = 10 ** Math.floor(Math.log10(most));
  const step = [5, 2, 1].find((s) => s * decade <= most) ?? 1;
  return Math.max(1, Math.round(step * decade));
};

/** Of everything drawn, with a rim. */
const boxOf = (shapes: readonly Drawn[], marks: readonly PictureMark[]): Box => {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  const take = ({ x, y }: Point): void => {
    minX = Math.min(minX, x);
    minY = Math.min(minY, y);
    maxX = Math.max(maxX, x);
    maxY = Math.max(maxY, y);
  };
  for (const { at } of marks) take(at);
  for (const { paths } of shapes) {
    for (const { segments } of paths) for (const s of segments) for (const p of pointsOf(s)) take(p);
  }
  const rim = 0.05 * Math.max(maxX - minX, maxY - minY, 1);
  return { minX: minX - rim, minY: minY - rim, maxX: maxX + rim, maxY: maxY + rim };
};

/** Enough of them to see how far a segment reaches. */
const pointsOf = (s: Segment): Point[] => {
  if (s.kind === 'line') return [s.from, s.to];
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
