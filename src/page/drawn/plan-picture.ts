/** What a plan is drawn from: the room for it, what of it is seen, and by how much errors and margins are enlarged. */
import type { Box, Matrix } from '../../internal.js';
import type { Sheet } from '../sheet.js';
import { roundBelow } from '../text.js';
import type { DrawingView } from '../work/answers.js';
import { boxThrough, type Room, squareAt, type Zoom } from './plan-frame.js';

export const identity: Matrix = [1, 0, 0, 1, 0, 0];

/** What is drawn of a sheet, wherever: on the screen or on paper. */
export interface PlanPicture {
  readonly drawing: DrawingView;
  readonly sheet: Sheet;
  readonly width: number;
  readonly height: number;
  readonly zoom: Zoom;
  readonly onPaper?: boolean;
}

/** By how many times errors and margins are drawn longer than they are. */
export interface Exaggeration {
  readonly errors: number;
  readonly margins: number;
}

export const exaggerationOf = ({ shown }: Sheet, box: Box): Exaggeration => {
  const { placed, judged, settings } = shown;
  const size = Math.max(box.maxX - box.minX, box.maxY - box.minY);
  const lengths = [
    ...(placed?.marks ?? []).flatMap(({ residual, ellipse }) => [
      Math.hypot(residual.x, residual.y),
      ellipse?.long ?? 0,
    ]),
    ...(judged?.details ?? []).flatMap(({ ellipseOnPlan }) => ellipseOnPlan?.long ?? 0),
    ...(placed?.touches ?? []).map(({ residual }) => Math.abs(residual)),
  ];
  const largest = Math.max(1e-9, ...lengths);
  const clearance = Math.max(1e-9, settings?.clearance ?? 0.5);
  return { errors: roundBelow((0.06 * size) / largest), margins: roundBelow((0.009 * size) / clearance) };
};

export const displayBox = (drawing: DrawingView, place: Matrix): Box => {
  const shown = drawing.shapes.filter(({ role }) => role === 'outline');
  const used = shown.length > 0 ? shown : drawing.shapes;
  const boxes = used.map(({ box }) => box);
  const marks = drawing.marks.map(({ at }) => squareAt(at, 1));
  const all = [...boxes, ...marks];
  const box = all.length === 0 ? drawing.box : all.reduce(join);
  return boxThrough(place, box);
};

const join = (a: Box, b: Box): Box => ({
  minX: Math.min(a.minX, b.minX),
  minY: Math.min(a.minY, b.minY),
  maxX: Math.max(a.maxX, b.maxX),
  maxY: Math.max(a.maxY, b.maxY),
});

export const isInDoubt = ({ shown }: Sheet): boolean => (shown.placed?.doubt?.marks.length ?? 0) > 0;

export const roomOf = (width: number, height: number): Room => {
  const small = width < 420;
  return { width, height, left: 76, right: small ? 32 : 40, top: 40, bottom: 66 };
};
