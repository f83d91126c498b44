/** Before anything is cut: whether what will be cut, and what was read, lies on the bed. */
import type { Shape } from '../drawing/model/drawing.js';
import type { Fit } from '../fit/fit.js';
import { marksNamed, mm } from '../fit/words.js';
import { apply, compose } from '../geometry/affine.js';
import { pathBox, transformPath } from '../geometry/curve.js';
import { type Box, boxOfPoints, emptyBox, growBox, joinBoxes } from '../geometry/point.js';
import { boxOfPath } from '../geometry/stored-path.js';
import type { Job, Machine } from '../job/job.js';
import type { Remedy, Warning } from '../job/messages.js';
import { faceMatrix, trueToMachineMatrix } from '../marks/frames.js';

/** A display shows a little beyond either end of its bed, mm. Common practice, no source. */
const displayed = 1;
/** Rounding, mm: a path along the very edge of the bed is on it. */
const slack = 1e-6;

const beyondOf = ({ minX, minY, maxX, maxY }: Box, [width, height]: readonly [number, number]): number =>
  Math.max(-minX, -minY, maxX - width, maxY - height);

const cornersOf = ({ minX, minY, maxX, maxY }: Box) => [
  { x: minX, y: minY },
  { x: maxX, y: minY },
  { x: maxX, y: maxY },
  { x: minX, y: maxY },
];

/**
 * `outside-bed` for openings of which the beam's path will lie off the bed: what `cut` refuses where the size is known,
 * told before it. Pointed corners may reach a little farther than is reckoned here.
 */
export const edgesOffBed = (
  edges: readonly Shape[],
  fit: Pick<Fit, 'matrix'>,
  { face, machine, cut }: Pick<Job, 'face' | 'machine' | 'cut'>,
): Warning[] => {
  const place = compose(trueToMachineMatrix(machine), compose(fit.matrix, faceMatrix(face)));
  const out =
    cut.kind === 'as-drawn'
      ? 0
      : cut.kind === 'opening'
        ? cut.clearance - cut.kerf / 2
        : cut.kerf / 2 - cut.clearance;
  const size = machine.size ?? ([Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY] as const);
  const drawn = edges.flatMap(({ paths }) => paths.map(boxOfPath)).reduce(joinBoxes, emptyBox);
  if (drawn.minX > drawn.maxX) return [];
  // Most parts lie well within their bed: then no path is looked at by itself.
  if (beyondOf(growBox(boxOfPoints(cornersOf(drawn).map((p) => apply(place, p))), out), size) <= slack)
    return [];
  let whole = emptyBox;
  let count = 0;
  let farthest: { readonly id: string; readonly beyond: number } | undefined;
  for (const shape of edges) {
    let box = emptyBox;
    for (const path of shape.paths)
      if (path.closed || cut.kind === 'as-drawn') box = joinBoxes(box, pathBox(transformPath(place, path)));
    if (box.minX > box.maxX) continue;
    const reach = growBox(box, out);
    whole = joinBoxes(whole, reach);
    const beyond = beyondOf(reach, size);
    if (beyond <= slack) continue;
    count++;
    if (farthest === undefined || beyond > farthest.beyond) farthest = { id: shape.id, beyond };
  }
  if (farthest === undefined) return [];
  const { id, beyond } = farthest;
  const what = cut.kind === 'as-drawn' ? 'lines' : 'openings';
  if (machine.size === undefined) {
    return [
      {
        code: 'outside-bed',
        message: `${count} of ${edges.length} ${what} lie at negative coordinates, ${id} by ${mm(beyond)}. Few machines reach there; give the bed's "size" to have this refused.`,
      },
    ];
  }
  const remedy: Remedy = {
    kind: 'move-part',
    step: 'move the part on the bed and read its marks again, or correct "size" of the machine',
  };
  return [
    {
      code: 'outside-bed',
      message: `${count} of ${edges.length} ${what} lie off the bed of ${size[0]} x ${size[1]} mm, ${id} by ${mm(beyond)}: together they take x ${mm(whole.minX)} to ${mm(whole.maxX)}, y ${mm(whole.minY)} to ${mm(whole.maxY)}.`,
      remedies: [remedy],
    },
  ];
};

/**
 * `suspect-reading` for readings that no display of a bed of this size shows. Where all of them lie on the bed with x and
 * y exchanged, that is the first thing to look at.
 */
export const readingsOffBed = (
  { readings, touches = [], witness = [] }: Pick<Job, 'readings' | 'touches' | 'witness'>,
  { size }: Pick<Machine, 'size'>,
): Warning[] => {
  if (size === undefined) return [];
  const off = (points: readonly { readonly x: number; readonly y: number }[]): boolean =>
    points.length > 0 && beyondOf(boxOfPoints(points), size) > displayed;
  const all = [...readings, ...touches, ...witness].flatMap(({ at }) => at);
  if (!off(all)) return [];
  const marks = readings.filter(({ at }) => off(at)).map(({ mark }) => mark);
  const crossed = all.map(({ x, y }) => ({ x: y, y: x }));
  const where = marks.length === 0 ? 'Readings lie' : `What was read at ${marksNamed(marks)} lies`;
  const [first] = readings;
  const exchange: Remedy[] =
    off(crossed) || first === undefined
      ? []
      : [
          {
            kind: 'correct-readings',
            step: `exchange x and y in every reading: as ${first.mark}: [${first.at[0]!.y}, ${first.at[0]!.x}]`,
          },
        ];
  const again: Remedy = {
    kind: 'read-again',
    step: `read again${marks.length === 0 ? '' : ` at ${marksNamed(marks)}`}, or correct "size" of the machine`,
    marks,
  };
  const swapped = exchange.length === 0 ? '' : ' With x and y exchanged all of them lie on it.';
  return [
    {
      code: 'suspect-reading',
      ...(marks.length === 0 ? {} : { marks }),
      message: `${where} off the bed of ${size[0]} x ${size[1]} mm: no pointer stands there.${swapped}`,
      remedies: [...exchange, again],
    },
  ];
};

/**
 * Readings off the bed that exchanging x and y puts on it say more than residuals do: two marks, or a square of them, fit
 * either way. Otherwise what was found at single marks goes first.
 */
export const withReadingsOffBed = (doubts: readonly Warning[], offBed: readonly Warning[]): Warning[] => {
  if (doubts.some(({ kind }) => kind === 'axes-swapped' || kind === 'inches' || kind === 'centimetres'))
    return [...doubts];
  const isExchange = offBed.some(({ remedies = [] }) => remedies[0]?.kind === 'correct-readings');
  return isExchange ? [...offBed, ...doubts] : [...doubts, ...offBed];
};
