/** Ellipses and cubics as DXF entities; group codes after Autodesk's DXF reference (2000), from memory. */
import type { Arc, Cubic, EllipticalArc, Line, Segment } from '../geometry/curve.js';
import { cross, length, type Point } from '../geometry/point.js';
import { decimal, isEdge } from './cut-file.js';
import { ellipseAxes } from './path-data.js';

export type Tag = readonly [code: number, value: string | number];

/** 1e-9 mm; the ratio and the angles of an ellipse err by the size of it, hence three digits more. */
const decimals = 9;
const angleDecimals = 12;

export type CurveRun =
  | { readonly kind: 'ellipse'; readonly arc: EllipticalArc }
  | { readonly kind: 'cubics'; readonly cubics: readonly Cubic[] };
export type Run = { readonly kind: 'edges'; readonly segments: readonly (Line | Arc)[] } | CurveRun;

/** A path cut where the kind of its curves changes: DXF has no entity for a path of several kinds. */
export const runsOf = (segments: readonly Segment[]): Run[] => {
  const runs: (
    | { kind: 'edges'; segments: (Line | Arc)[] }
    | { kind: 'cubics'; cubics: Cubic[] }
    | { kind: 'ellipse'; arc: EllipticalArc }
  )[] = [];
  for (const s of segments) {
    const last = runs.at(-1);
    if (isEdge(s)) {
      if (last?.kind === 'edges') last.segments.push(s);
      else runs.push({ kind: 'edges', segments: [s] });
    } else if (s.kind === 'cubic') {
      if (last?.kind === 'cubics') last.cubics.push(s);
      else runs.push({ kind: 'cubics', cubics: [s] });
    } else runs.push({ kind: 'ellipse', arc: s });
  }
  return runs;
};

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

/** The longer radius goes into the entity, the other one as a ratio; angles are counter-clockwise from the longer one. */
const ellipseTags = (arc: EllipticalArc): Tag[] => {
  const { centre, start, sweep } = arc;
  const { long, short, at } = ellipseAxes(arc);
  const turn = cross(arc.u, arc.v) < 0 ? -1 : 1;
  const [one, other] = [turn * (start - at), turn * (start - at + sweep)];
  const whole = Math.abs(sweep) >= 2 * Math.PI - 1e-12;
  const from = whole ? 0 : Math.min(one, other);
  const to = whole ? 2 * Math.PI : Math.max(one, other);
  const turns = 2 * Math.PI * Math.floor(from / (2 * Math.PI));
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
