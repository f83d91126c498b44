/**
 * Ellipses and cubics as DXF entities; group codes after the published DXF reference of the year
 * 2000, from memory.
 */
import {
  type Arc,
  type Cubic,
  type EllipticalArc,
  endOf,
  type Line,
  type Segment,
  startOf,
} from '../../geometry/curve.js';
import { cross, length, type Point } from '../../geometry/point.js';
import { isPoint } from '../model/no-length.js';
import { decimal, isEdge } from './cut-file.js';
import { ellipseAxes } from './path-data.js';

export type Tag = readonly [code: number, value: string | number];

/**
 * 1e-9 mm; the ratio and the angles of an ellipse err by the size of it, hence all the digits that
 * a double has.
 */
const decimals = 9;
const angleDecimals = 15;
/**
 * radians. A sweep of less than 1.3e-6 is read as a whole turn, and one that lacks as little
 * likewise: many files give angles in six decimals. The shortest arcs go as their chords, which
 * leave them by less than 1e-6 mm up to a radius of a kilometre.
 */
const shortestSweep = 2e-6;
const fullTurn = 2 * Math.PI;

export type CurveRun =
  | { readonly kind: 'ellipse'; readonly arc: EllipticalArc }
  | { readonly kind: 'cubics'; readonly cubics: readonly Cubic[] };
export type Run = { readonly kind: 'edges'; readonly segments: readonly (Line | Arc)[] } | CurveRun;

/**
 * A path cut where the kind of its curves changes: DXF has no entity for a path of several kinds. A
 * run that lies within 1e-6 mm, as rounding leaves it between other curves, would be an entity
 * without length and is left out.
 */
export const runsOf = (segments: readonly Segment[]): Run[] => {
  const runs: (
    | { kind: 'edges'; segments: (Line | Arc)[] }
    | { kind: 'cubics'; cubics: Cubic[] }
    | { kind: 'ellipse'; arc: EllipticalArc }
  )[] = [];
  for (const s of segments.flatMap(sweepsToTell)) {
    const last = runs.at(-1);
    if (isEdge(s)) {
      if (last?.kind === 'edges') last.segments.push(s);
      else runs.push({ kind: 'edges', segments: [s] });
    } else if (s.kind === 'cubic') {
      if (last?.kind === 'cubics') last.cubics.push(s);
      else runs.push({ kind: 'cubics', cubics: [s] });
    } else runs.push({ kind: 'ellipse', arc: s });
  }
  return runs.filter((run) => !isPoint(segmentsOf(run)));
};

const segmentsOf = (run: Run): readonly Segment[] =>
  run.kind === 'edges' ? run.segments : run.kind === 'cubics' ? run.cubics : [run.arc];

/**
 * Elliptical arcs as an ELLIPSE can tell them: none nearly without sweep, and none that lacks next
 * to nothing of a turn.
 */
const sweepsToTell = (s: Segment): readonly Segment[] => {
  if (s.kind !== 'elliptical-arc') return [s];
  const turn = Math.abs(s.sweep);
  if (turn < shortestSweep) return [{ kind: 'line', from: startOf(s), to: endOf(s) }];
  if (isWhole(s) || turn <= fullTurn - shortestSweep) return [s];
  const sweep = s.sweep / 2;
  return [
    { ...s, sweep },
    { ...s, start: s.start + sweep, sweep },
  ];
};

const isWhole = ({ sweep }: EllipticalArc): boolean => Math.abs(sweep) >= fullTurn - 1e-12;

/** An ELLIPSE, or a SPLINE of degree 3 whose knots are threefold between its cubics. */
export const curveTags = (run: CurveRun): { readonly type: string; readonly tags: readonly Tag[] } =>
  run.kind === 'ellipse'
    ? { type: 'ELLIPSE', tags: ellipseTags(run.arc) }
    : { type: 'SPLINE', tags: splineTags(run.cubics) };

const pointTags = ({ x, y }: Point, code: number): Tag[] => [
  [code, decimal(x, decimals)],
  [code + 10, decimal(y, decimals)],
  [code + 20, '0'],
];

/**
 * The longer radius goes into the entity, the other one as a ratio; angles are counter-clockwise
 * from the longer one.
 */
const ellipseTags = (arc: EllipticalArc): Tag[] => {
  const { centre, start, sweep } = arc;
  const { long, short, at } = ellipseAxes(arc);
  const turn = cross(arc.u, arc.v) < 0 ? -1 : 1;
  const [one, other] = [turn * (start - at), turn * (start - at + sweep)];
  const whole = isWhole(arc);
  const from = whole ? 0 : Math.min(one, other);
  const to = whole ? fullTurn : Math.max(one, other);
  const turns = fullTurn * Math.floor(from / fullTurn);
  return [
    [100, 'AcDbEllipse'],
    ...pointTags(centre, 10),
    ...pointTags(long, 11),
    [40, decimal(Math.min(1, length(short) / length(long)), angleDecimals)],
    [41, decimal(from - turns, angleDecimals)],
    [42, decimal(to - turns, angleDecimals)],
  ];
};

const splineTags = (cubics: readonly Cubic[]): Tag[] => {
  const controls = [
    cubics[0]!.from,
    ...cubics.flatMap(({ control1, control2, to }) => [control1, control2, to]),
  ];
  const knots = [
    0,
    ...cubics.flatMap((_, i) => [i, i, i]),
    cubics.length,
    cubics.length,
    cubics.length,
    cubics.length,
  ];
  return [
    [100, 'AcDbSpline'],
    // Planar.
    [70, 8],
    [71, 3],
    [72, knots.length],
    [73, controls.length],
    [74, 0],
    ...knots.map((knot): Tag => [40, knot]),
    ...controls.flatMap((point) => pointTags(point, 10)),
  ];
};
