/** Marks and touches in one adjustment, from a start near enough for each touch to find its place on its edge. */
import { type Point, subtract } from '../../geometry/point.js';
import type { Model } from '../../job/job.js';
import type { TouchEdge } from '../../marks/touch-edge.js';
import { gaussNewton, weightedSquares } from '../../numeric/gauss-newton.js';
import type { Row, Solved } from '../../numeric/least-squares.js';
import type { MarkPair } from '../solve/mark-fit.js';
import {
  changed,
  jacobianAt,
  type Placement,
  placed,
  turnOf,
  turnOfPlacement,
  unknownsOf,
} from '../solve/placement.js';
import { designPointOf, type TouchPair, touchRow } from './touch-rows.js';

export interface MixedReadings {
  readonly marks: readonly MarkPair[];
  readonly touches: readonly TouchPair[];
}

export type MixedFit =
  | {
      readonly ok: true;
      readonly placement: Placement;
      /** Design frame, mm; of `unknownRims` in order. */
      readonly radii: readonly number[];
      /** Per touch and reading: number of the span of its edge. */
      readonly spans: readonly (readonly number[])[];
      /** Rows: x and y of each mark, then one of each touch. Unknowns: of the model, then the radii. */
      readonly solved: Solved;
    }
  | { readonly ok: false; readonly why: 'rank' | 'no-convergence'; readonly at: Placement };

/** The edges whose radius is one more unknown, each once. */
export const unknownRims = (touches: readonly { readonly edge: TouchEdge }[]): TouchEdge[] => [
  ...new Set(touches.map((t) => t.edge).filter(({ rim }) => rim !== undefined && rim.radius === undefined)),
];

interface State {
  readonly placement: Placement;
  readonly radii: readonly number[];
}

/** A touch that walks to and fro between two spans settles on one of them. */
const mostRounds = 25;

/**
 * Weighted least squares to full convergence. Each round takes every touch to be on the span nearest to it, solves,
 * and looks again; `start` is a placement of any model near the solution.
 */
export const fitMixed = (model: Model, readings: MixedReadings, start: Placement): MixedFit => {
  const { marks, touches } = readings;
  const rims = unknownRims(touches);
  const columns = touches.map(({ edge }) => rims.indexOf(edge));
  const shift = start.anchor;
  const centred: MixedReadings = {
    marks: marks.map((m) => ({ ...m, to: subtract(m.to, shift) })),
    touches: touches.map((t) => ({ ...t, to: t.to.map((p) => subtract(p, shift)) })),
  };
  let state: State = {
    placement: { ...start, model, anchor: { x: 0, y: 0 }, linear: linearFor(model, start) },
    radii: rims.map((edge) => startRadius(edge, { ...start, anchor: { x: 0, y: 0 } }, centred.touches)),
  };
  const size = stepSize(centred, state.placement.centre, unknownsOf[model]);
  let spans = spansAt(state.placement, centred.touches);
  let best: Extract<MixedFit, { ok: true }> | undefined;
  let least = Number.POSITIVE_INFINITY;
  for (let round = 0; round < mostRounds; round++) {
    const taken = spans;
    const adjusted = gaussNewton<State>({
      start: state,
      unknowns: unknownsOf[model] + rims.length,
      rowsAt: (at) => rowsOf(at, centred, taken, columns),
      step: (at, change) => ({
        placement: changed(at.placement, change),
        radii: at.radii.map((r, i) => r + change[unknownsOf[model] + i]!),
      }),
      ...size,
    });
    if (!adjusted.ok) {
      if (best !== undefined) break;
      return { ok: false, why: adjusted.why, at: back(state.placement, shift) };
    }
    state = adjusted.state;
    const { solved } = adjusted;
    const one = {
      ok: true as const,
      placement: back(state.placement, shift),
      radii: state.radii,
      spans: taken,
      solved,
    };
    spans = spansAt(state.placement, centred.touches);
    if (sameSpans(spans, taken)) return one;
    // Between two spans that a touch lies as near to, either will do; a span it was far beyond the end of will not.
    const squares = weightedSquares(rowsOf(state, centred, spans, columns));
    if (squares < least && squares <= 4 * solved.weightedSquares + 1) {
      least = squares;
      best = one;
    }
  }
  return best ?? { ok: false, why: 'no-convergence', at: back(state.placement, shift) };
};

/** The nearest linear part that the model has. */
const linearFor = (model: Model, start: Placement): Placement['linear'] => {
  if (model === 'shift') return [1, 0, 0, 1];
  if (model === 'affine') return start.linear;
  const [a, b, c, d] = start.linear;
  const size = model === 'rigid' ? 1 : Math.hypot(a + d, b - c) / 2;
  const [cos, sin] = turnOf(turnOfPlacement(start));
  return [size * cos, size * sin, -size * sin, size * cos];
};

const back = (placement: Placement, shift: Point): Placement => ({
  ...placement,
  anchor: { x: placement.anchor.x + shift.x, y: placement.anchor.y + shift.y },
});

const rowsOf = (
  { placement, radii }: State,
  { marks, touches }: MixedReadings,
  spans: readonly (readonly number[])[],
  columns: readonly number[],
): Row[] => {
  const rows: Row[] = [];
  const noRadii = radii.map(() => 0);
  for (const { from, to, sd } of marks) {
    const at = placed(placement, from);
    const gradient = jacobianAt(placement, from);
    rows.push({ design: [...gradient.x, ...noRadii], observed: to.x - at.x, sd: sd.x });
    rows.push({ design: [...gradient.y, ...noRadii], observed: to.y - at.y, sd: sd.y });
  }
  touches.forEach((touch, i) => {
    rows.push(touchRow(placement, touch, spans[i]!, { column: columns[i]!, radii }));
  });
  return rows;
};

/** The nearest span of each reading. */
export const spansAt = (placement: Placement, touches: readonly TouchPair[]): number[][] =>
  touches.map(({ edge, to }) =>
    to.map((p) => {
      const q = designPointOf(placement, p);
      return edge.index.nearest(q.x, q.y);
    }),
  );

const sameSpans = (a: readonly (readonly number[])[], b: readonly (readonly number[])[]): boolean =>
  a.every((row, i) => row.every((span, k) => span === b[i]![k]));

/** The mean distance of the touches from the rim's centre. */
const startRadius = (edge: TouchEdge, placement: Placement, touches: readonly TouchPair[]): number => {
  const { centre } = edge.rim!;
  let sum = 0;
  let count = 0;
  for (const touch of touches) {
    if (touch.edge !== edge) continue;
    for (const p of touch.to) {
      const q = designPointOf(placement, p);
      sum += Math.hypot(q.x - centre.x, q.y - centre.y);
      count++;
    }
  }
  return sum / count;
};

/** A step's size is how far it moves the farthest reading; negligible is far below what a display shows. */
const stepSize = (
  { marks, touches }: MixedReadings,
  centre: Point,
  unknowns: number,
): { size: (change: readonly number[]) => number; negligible: number } => {
  let reach = 1;
  for (const { from, to } of marks)
    reach = Math.max(reach, Math.hypot(from.x - centre.x, from.y - centre.y), Math.hypot(to.x, to.y));
  for (const { to } of touches) for (const p of to) reach = Math.max(reach, Math.hypot(p.x, p.y));
  return {
    size: (change) =>
      Math.hypot(change[0]!, change[1]!, ...change.slice(unknowns)) +
      reach * Math.hypot(...change.slice(2, unknowns)),
    negligible: 1e-12 * reach,
  };
};
